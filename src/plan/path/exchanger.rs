//! Heat exchangers between two paths of a component, or between a path and air.

use super::{Exchanger, ExchangerSide, Path, find_path};
use crate::document::{Section, shorten};
use crate::plan::{Bounds, Names, positive, ratio};
use crate::units::{MassFlow, Quantity, Ratio, read_uncertain};

/// Reads the exchangers of all paths; of two paths that name each other the first one keeps it.
pub fn exchangers(sections: &[Section<'_>], paths: &mut [Path]) {
    let texts: Vec<String> = paths.iter().map(|p| p.name.clone()).collect();
    let names = Names::new(texts.iter().map(String::as_str));
    let called = |path: usize| format!("path {}", shorten(&texts[path]));
    // What is on the other side of each path so far, in words and by index.
    let mut sides: Vec<Option<(String, Option<usize>)>> = vec![None; paths.len()];
    for (index, section) in sections.iter().enumerate() {
        let effectiveness = ratio(section, "effectiveness", &Bounds::ABOVE_0_TO_1);
        let Some((other, key)) = other_side(section, index, &names) else { continue };
        let partner = match other {
            ExchangerSide::Path(partner) => Some(partner),
            ExchangerSide::Air(_) => None,
        };
        if let Some((_, Some(first))) = &sides[index]
            && partner == Some(*first)
        {
            report_difference(&sections[*first], section);
            continue;
        }
        let mut both = core::iter::once(index).chain(partner);
        let taken = both.find_map(|i| Some((i, sides.get(i)?.as_ref()?)));
        if let Some((path, (with, _))) = taken {
            section.reader().problem(
                &section.place(key),
                format!("{} exchanges heat with {with} already", called(path)),
                "one too many",
                vec!["one path exchanges heat once; two exchangers are two components".into()],
            );
            continue;
        }
        sides[index] = Some((partner.map_or("air".to_owned(), called), partner));
        if let Some(partner) = partner {
            sides[partner] = Some((called(index), Some(index)));
        }
        paths[index].exchanger =
            effectiveness.map(|e| Exchanger { effectiveness: e.value.si(), other });
    }
}

/// The other side of an exchanger and the key that names it.
fn other_side(
    section: &Section<'_>,
    index: usize,
    names: &Names<'_>,
) -> Option<(ExchangerSide, &'static str)> {
    let air = positive::<MassFlow>(section, "air_flow");
    let path = section.words("exchanges_with");
    let reader = section.reader();
    let written: Vec<&str> =
        ["exchanges_with", "air_flow"].into_iter().filter(|k| section.has(k)).collect();
    match written.as_slice() {
        [] if section.has("effectiveness") => {
            reader.absence(
                &section.header(),
                "effectiveness needs the key \"exchanges_with\" or \"air_flow\"",
                vec!["what is on the other side of the exchanger: a path, or air".into()],
            );
        }
        [key] if !section.has("effectiveness") => {
            reader.absence(
                &section.header(),
                format!("{key} needs the key \"effectiveness\""),
                vec!["for example effectiveness = \"60 %\"".into()],
            );
        }
        [_, second] => {
            reader.problem(
                &section.place(second),
                "a heat exchanger has a path or air on its other side, not both",
                "one too many",
                vec!["take out exchanges_with or air_flow".into()],
            );
        }
        _ => {}
    }
    if written.len() != 1 {
        return None;
    }
    if let Some(air) = air {
        return Some((ExchangerSide::Air(air.value), "air_flow"));
    }
    let name = path?;
    let partner = find_path(section, &name, names)?;
    if partner != index {
        return Some((ExchangerSide::Path(partner), "exchanges_with"));
    }
    reader.problem(
        &name.span,
        "a path cannot exchange heat with itself",
        "the same path",
        vec!["name the path on the other side".into()],
    );
    None
}

/// Two paths that name each other must agree.
fn report_difference(first: &Section<'_>, second: &Section<'_>) {
    // As written: an uncertain one may have been moved.
    let nominal = |section: &Section<'_>| {
        let text = section.words("effectiveness")?;
        read_uncertain::<Ratio>(&text.value).ok().map(|(ratio, _)| ratio.si())
    };
    if let (Some(one), Some(other)) = (nominal(first), nominal(second))
        && (one - other).abs() > 0.0
    {
        second.reader().problem(
            &second.place("effectiveness"),
            "the two sides of a heat exchanger have one effectiveness, and these differ",
            "not that of the other path",
            vec!["write it at one of the two paths".into()],
        );
    }
}
