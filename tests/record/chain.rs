//! Every change, loss and reordering breaks the chain, and the fault has its line.

use hosewright::record::{Broken, Chain, Digest, Part, entries, verify};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

use super::{Bench, Numbers, card, faults};

/// Bytes that take the place of another: the neighbours in value, the case, and what parts lines and texts.
const REPLACEMENTS: [u8; 10] = [0, b'\n', b'\r', b' ', b'"', b'0', b'f', b'}', b'\\', 0xff];

fn lines(bytes: &[u8]) -> Vec<&[u8]> {
    bytes.split_inclusive(|b| *b == b'\n').collect()
}

/// Whether the rest of a record, from a line on, is found not to hold.
fn breaks(mut chain: Chain, rest: &[u8]) -> bool {
    for line in rest.split_inclusive(|b| *b == b'\n') {
        match line.strip_suffix(b"\n") {
            Some(line) => chain.follow(line),
            None => chain.follow_tail(line),
        }
        if !chain.faults().is_empty() {
            return true;
        }
    }
    false
}

#[test]
fn a_record_that_nobody_touched_holds() {
    let bench = Bench::filled(200);
    let verified = bench.verified();
    assert_eq!((verified.entries, verified.faults.as_slice()), (200, &[] as &[_]));
    let (read, unread) = entries(&bench.bytes());
    assert_eq!((read.len(), unread.len()), (200, 0));
    assert_eq!(verified.head, read.last().map(|e| e.digest));
    for (before, entry) in read.iter().zip(&read[1..]) {
        assert_eq!((entry.number, entry.before), (before.number + 1, before.digest));
    }
    assert_eq!((read[0].number, read[0].before), (1, Digest::NONE));
}

#[test]
fn every_byte_of_two_hundred_entries_that_is_changed_is_found() {
    let mut bytes = Bench::filled(200).bytes();
    let mut numbers = Numbers(1);
    let (mut chain, mut start, mut tried) = (Chain::new(None), 0, 0_u32);
    let ends: Vec<usize> = lines(&bytes).iter().map(|l| l.len()).collect();
    for length in ends {
        for at in start..start + length {
            let was = bytes[at];
            let near = (0..8).map(|bit| was ^ 1 << bit);
            for other in near.chain(REPLACEMENTS).filter(|other| *other != was) {
                bytes[at] = other;
                assert!(breaks(chain.clone(), &bytes[start..]), "byte {at}: {was} to {other}");
                // The whole record finds it as well, and in this line or the next.
                if numbers.below(5000) == 0 {
                    let line = bytes[..start].split(|b| *b == b'\n').count();
                    let found = faults(&bytes).first().map(|f| f.0);
                    assert!(found == Some(line) || found == Some(line + 1), "{found:?}, {line}");
                }
                tried += 1;
            }
            bytes[at] = was;
        }
        chain.follow(&bytes[start..start + length - 1]);
        start += length;
    }
    assert!(tried as usize > 15 * bytes.len());
    assert_eq!(faults(&bytes), []);
}

#[test]
fn every_byte_that_is_lost_or_slipped_in_is_found() {
    let bytes = Bench::filled(5).bytes();
    for at in 0..bytes.len() {
        let mut less = bytes.clone();
        less.remove(at);
        assert_ne!(faults(&less), [], "without byte {at}");
        for more in [b'0', b' ', b'\n', b'"'] {
            let mut longer = bytes.clone();
            longer.insert(at, more);
            assert_ne!(faults(&longer), [], "{more} before byte {at}");
        }
    }
}

#[test]
fn what_was_changed_is_told_apart() {
    let bytes = Bench::filled(6).bytes();
    let all = lines(&bytes);
    let with = |place: usize, line: Vec<u8>| {
        let mut all: Vec<&[u8]> = all.clone();
        all[place] = &line;
        faults(&all.concat())
    };
    let changed = |place: usize, from: &str, to: &str| {
        with(place, String::from_utf8_lossy(all[place]).replacen(from, to, 1).into_bytes())
    };
    assert_eq!(changed(2, "403 mm", "463 mm"), [(3, Broken::Changed)]);
    assert_eq!(changed(5, "406 mm", "466 mm"), [(6, Broken::Changed)]);
    let digest = entries(&bytes).0[2].digest.to_string();
    assert_eq!(changed(2, &digest, &"a".repeat(64)), [(3, Broken::DigestChanged)]);
    // The last entry has no other that would bear it out.
    let digest = entries(&bytes).0[5].digest.to_string();
    assert_eq!(changed(5, &digest, &"a".repeat(64)), [(6, Broken::Changed)]);
    assert_eq!(changed(3, "{\"number", "{\"nunber"), [(4, Broken::NoEntry(Part::Start))]);
    assert_eq!(changed(3, "\"}\n", "\"]\n"), [(4, Broken::NoEntry(Part::End))]);
    assert_eq!(changed(3, "\n", "\r\n"), [(4, Broken::CarriageReturn)]);
    let long = format!(" {}", "x".repeat(hosewright::record::LONGEST_LINE));
    let found = changed(1, "by", &long);
    assert!(matches!(found.as_slice(), [(2, Broken::TooLong(_))]), "{found:?}");
    let mut latin = all[4].to_vec();
    latin[40] = 0xe9;
    assert_eq!(with(4, latin), [(5, Broken::NotText)]);
}

#[test]
fn what_is_lost_moved_or_doubled_is_told_with_its_numbers() {
    let bytes = Bench::filled(9).bytes();
    let all = lines(&bytes);
    let order = |numbers: &[usize]| {
        let picked: Vec<&[u8]> = numbers.iter().map(|n| all[n - 1]).collect();
        faults(&picked.concat())
    };
    let missing = |from, to| Broken::Missing { from, to };
    let misplaced = |number, wanted| Broken::Misplaced { number, wanted };
    assert_eq!(order(&[2, 3, 4]), [(1, missing(1, 1))]);
    assert_eq!(order(&[1, 2, 6, 7]), [(3, missing(3, 5))]);
    assert_eq!(order(&[1, 2, 2, 3]), [(3, misplaced(2, 3))]);
    let swapped = [(3, missing(3, 3)), (4, misplaced(3, 5)), (5, missing(4, 4))];
    assert_eq!(order(&[1, 2, 4, 3, 5]), swapped);
    // Every entry that is dropped or doubled, and every pair that changes places.
    for place in 1..=9 {
        let without: Vec<usize> = (1..=9).filter(|n| *n != place).collect();
        let told =
            if place == 9 { vec![] } else { vec![(place, missing(place as u64, place as u64))] };
        assert_eq!(order(&without), told, "without {place}");
        let doubled: Vec<usize> =
            (1..=9).flat_map(|n| vec![n; 1 + usize::from(n == place)]).collect();
        assert_eq!(order(&doubled).len(), 1, "{place} twice");
        for other in place + 1..=9 {
            let mut moved: Vec<usize> = (1..=9).collect();
            moved.swap(place - 1, other - 1);
            assert_eq!(order(&moved).first().map(|f| f.0), Some(place), "{moved:?}");
        }
    }
    // An entry of another record, with the right number.
    let other = Bench::filled(3);
    let mut forged: Vec<u8> = all[..2].concat();
    let bytes = other.bytes();
    forged.extend(lines(&bytes)[2]);
    assert_eq!(faults(&forged), [], "the same entries are the same record");
    let mut draft = super::draft(1);
    draft.by = "Somebody else".into();
    let other = Bench::new();
    for _ in 0..3 {
        super::added(&other.log(), &draft);
    }
    let bytes = other.bytes();
    let forged = [&all[..2].concat(), lines(&bytes)[2]].concat();
    assert_eq!(faults(&forged), [(3, Broken::NotFollowing(3))]);
}

#[test]
fn whole_entries_cut_off_at_the_end_are_found_by_the_card_alone() {
    let bytes = Bench::filled(6).bytes();
    let all = lines(&bytes);
    let digests: Vec<String> = entries(&bytes).0.iter().map(|e| e.digest.to_string()).collect();
    for kept in 0..=6 {
        let short = all[..kept].concat();
        assert_eq!(faults(&short), [], "the chain of {kept} entries holds");
        for (index, digest) in digests.iter().enumerate() {
            for text in [digest.clone(), digest[..16].to_uppercase()] {
                let verified = verify(&short, Some(card(&text)));
                if index < kept {
                    assert_eq!(verified.found, Some(index as u64 + 1));
                    assert_eq!(verified.faults, []);
                } else {
                    let fault = &verified.faults[0];
                    let told = (fault.line, fault.what.clone());
                    assert_eq!(told, (kept + 1, Broken::NoHead(card(&text))));
                }
            }
        }
    }
    // An entry that was changed no longer counts as the one on the card.
    let text = String::from_utf8_lossy(&bytes).replace("406 mm", "407 mm");
    let verified = verify(text.as_bytes(), Some(card(&digests[5])));
    assert_eq!(verified.faults.len(), 2, "{:?}", verified.faults);
    // Nor does a digest that somebody wrote into a note.
    assert_eq!(verify(&bytes, Some(card(&"0".repeat(64)))).faults.len(), 1);
}

#[test]
fn a_file_of_nothing_but_faults_is_soon_told() {
    let text = "not an entry\n".repeat(100_000);
    let verified = verify(text.as_bytes(), None);
    assert_eq!((verified.faults.len(), verified.more), (1000, 99_000));
    assert_eq!((verified.entries, verified.head), (0, None));
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 2000,
        rng_seed: RngSeed::Fixed(29),
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn whatever_is_in_a_file_it_can_be_followed_and_read(
        pieces in prop::collection::vec(prop::sample::select(&PIECES[..]), 0..40),
    ) {
        let bytes: Vec<u8> = pieces.concat();
        let verified = verify(&bytes, None);
        let (read, unread) = entries(&bytes);
        prop_assert_eq!(verified.faults.is_empty(), bytes.is_empty());
        prop_assert!(read.len() + unread.len() <= bytes.len() + 1);
    }
}

const PIECES: [&[u8]; 12] = [
    b"{\"number\":",
    b"1",
    b"9",
    b",",
    b"\"before\":\"",
    b"\"digest\":\"",
    b"\"}",
    b"\n",
    b"\r",
    b"0000000000000000000000000000000000000000000000000000000000000000",
    b"\xff",
    b"\0",
];
