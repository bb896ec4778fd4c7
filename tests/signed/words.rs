//! Names of people and of readings, and which lines two people look at.

use hosewright::record::Kind;
use hosewright::signed::{Reading, same_person, second_person};
use hosewright::table::Tables;

use super::{Machine, example};

#[test]
fn a_name_is_the_same_without_capitals_and_blanks() {
    assert!(same_person("Åse Berg", "  åse   BERG "));
    assert!(!same_person("A. Builder", "A Builder"));
    assert!(!same_person("", "A"));
}

#[test]
fn a_count_has_its_word_and_no_sign() {
    for (text, count) in [("2 caps", Some(2)), ("1 plug", Some(1)), ("0 caps", Some(0))] {
        assert_eq!(Reading::count(text), count);
    }
    for text in ["2", "caps", "-1 caps", "+1 caps", "2.5 caps", "2 mm", "99999999999 caps", ""] {
        assert_eq!(Reading::count(text), None, "{text}");
    }
}

#[test]
fn every_reading_is_found_by_its_name() {
    for reading in Reading::ALL {
        assert_eq!(Reading::named(&reading.word().to_uppercase()), Some(reading));
    }
}

#[test]
fn fuel_oil_under_pressure_brake_and_steering_want_two_people() {
    let tables = Tables::builtin();
    let text = example("03-press");
    let count = |text: &str| {
        let machine = Machine::of(text, &tables, false).unwrap();
        let plan = &machine.assessment.plan;
        let all = plan.lines.iter().filter_map(|line| second_person(plan, &tables, line));
        all.map(|why| why.value).collect::<Vec<_>>()
    };
    // P1, P2 and P3 carry oil under pressure, and P8 leads it to the gauge.
    assert_eq!(count(&text), ["oil under pressure"; 4]);
    let steering = text.replace("system  = \"hydraulic\"", "system  = \"Steering\"");
    assert_eq!(count(&steering).len(), steering.matches("\"Steering\"").count());
    assert!(count(&example("01-amphibian")).contains(&"fuel".to_owned()));
}

#[test]
fn notes_and_pictures_sign_for_nothing() {
    let free: Vec<Kind> =
        Kind::ALL.into_iter().filter(|k| !hosewright::signed::signs(*k)).collect();
    assert_eq!(free, [Kind::Note, Kind::Photo]);
}
