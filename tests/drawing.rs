//! Drawings at full size: sheets, dimensions, and both ways of writing them.

use hosewright::report::drawing::sheet::{INCH_BAR_MM, Paper, SheetError, pages};
use hosewright::report::drawing::{Anchor, Drawing, Piece, Stroke, dxf, svg};

fn strip(length_mm: f64, height_mm: f64) -> Drawing {
    let mut drawing = Drawing::new("strip", vec!["a note".into()]);
    drawing.rectangle([0.0, 0.0], [length_mm, height_mm], Stroke::Outline);
    drawing
}

#[test]
fn a_strip_of_277_mm_fits_a_page_and_a_longer_one_is_tiled_without_a_gap() {
    assert_eq!(pages(&strip(277.0, 25.0), Paper::A4).map(|p| p.len()), Ok(1));
    let long = pages(&strip(1000.0, 25.0), Paper::A4).unwrap_or_default();
    // 277 and then 267 more from each page.
    assert_eq!(long.len(), 4);
    for pair in long.windows(2) {
        assert!((pair[0].window[1] - pair[1].window[0] - 10.0).abs() < 1e-9);
        // What both pages show lies at the same distance from the same join line.
        let joins = |i: usize| {
            let lines = pair[i].frame.iter().filter_map(|p| match p {
                Piece::Line { from, stroke: Stroke::Join, .. } => Some(from[0] - pair[i].shift[0]),
                _ => None,
            });
            lines.collect::<Vec<_>>()
        };
        assert!(joins(0).iter().any(|a| joins(1).iter().any(|b| (a - b).abs() < 1e-9)));
    }
    assert!(long.last().is_some_and(|p| p.window[1] >= 1000.0));
}

#[test]
fn what_does_not_fit_is_refused_and_never_scaled() {
    assert_eq!(pages(&Drawing::new("", Vec::new()), Paper::A4), Err(SheetError::Empty));
    assert_eq!(pages(&strip(f64::NAN, 25.0), Paper::A4), Err(SheetError::Empty));
    assert!(matches!(pages(&strip(100.0, 300.0), Paper::A4), Err(SheetError::TooHigh { .. })));
    assert!(matches!(pages(&strip(1e5, 25.0), Paper::Letter), Err(SheetError::TooLong { .. })));
    // A high drawing goes on an upright page.
    let upright = pages(&strip(150.0, 120.0), Paper::A4).unwrap_or_default();
    assert!(upright.iter().all(|p| p.size[0] < p.size[1]) && upright.len() == 1);
}

#[test]
fn the_bars_of_every_page_are_100_mm_and_4_in_in_both_axes() {
    for page in pages(&strip(700.0, 25.0), Paper::Letter).unwrap_or_default() {
        for length in [100.0, INCH_BAR_MM] {
            let bar = |axis: usize| {
                page.frame.iter().any(|p| match p {
                    Piece::Line { from, to, .. } => {
                        (to[axis] - from[axis] - length).abs() < 1e-9
                            && (to[1 - axis] - from[1 - axis]).abs() < 1e-9
                    }
                    _ => false,
                })
            };
            assert!(bar(0) && bar(1), "{length}");
        }
        // Everything lies inside what a printer prints.
        let frame = Drawing { title: String::new(), notes: Vec::new(), pieces: page.frame.clone() };
        let [low, high] = frame.bounds().unwrap_or_default();
        assert!(low[0] >= 5.0 && low[1] >= 5.0, "{low:?}");
        assert!(high[0] <= page.size[0] - 5.0 && high[1] <= page.size[1] - 5.0, "{high:?}");
    }
}

#[test]
fn a_dimension_stands_upright_on_every_side_and_none_has_no_length() {
    let mut drawing = Drawing::new("", Vec::new());
    drawing.dimension([5.0, 5.0], [5.0, 5.0], 3.0, "nothing");
    assert!(drawing.pieces.is_empty());
    for (to, turn) in
        [([10.0, 0.0], 0.0), ([-10.0, 0.0], 0.0), ([0.0, 10.0], 90.0), ([0.0, -10.0], 90.0)]
    {
        let mut drawing = Drawing::new("", Vec::new());
        drawing.dimension([0.0, 0.0], to, 5.0, "10");
        let turned = drawing.pieces.iter().find_map(|p| match p {
            Piece::Text { turn, .. } => Some(turn.to_degrees()),
            _ => None,
        });
        assert!(turned.is_some_and(|t: f64| (t - turn).abs() < 1e-9), "{to:?}: {turned:?}");
    }
}

#[test]
fn dxf_is_pairs_and_every_layer_is_there() {
    let mut drawing = strip(120.0, 25.0);
    drawing.circle([14.0, 12.5], 3.2, Stroke::Hole);
    drawing.arc([60.0, 12.5], 10.0, 0.0, 1.0, Stroke::Bend);
    drawing.text([1.0, 1.0], 2.5, "0\nEOF \u{b0}", Anchor::Start);
    let text = dxf::text(&drawing);
    assert!(text.is_ascii());
    let rows: Vec<&str> = text.lines().collect();
    let (pairs, rest) = rows.as_chunks::<2>();
    assert!(rest.is_empty() && pairs.iter().all(|[code, _]| code.trim().parse::<u16>().is_ok()));
    // A typed text cannot end the file.
    assert_eq!(
        pairs.iter().filter(|[code, value]| code.trim() == "0" && *value == "EOF").count(),
        1
    );
    let named = |table: &str| {
        let starts = pairs.windows(2).filter(|w| w[0][1] == table && w[1][0].trim() == "2");
        starts.map(|w| w[1][1].to_owned()).collect::<Vec<_>>()
    };
    let layers = named("LAYER");
    let used = pairs.iter().filter(|[code, _]| code.trim() == "8").map(|[_, value]| *value);
    for layer in used {
        assert!(layers.iter().any(|l| l == layer), "{layer}");
    }
}

#[test]
fn an_arc_is_drawn_the_way_it_turns() {
    let mut drawing = Drawing::new("", Vec::new());
    drawing.arc([0.0, 0.0], 10.0, 0.0, std::f64::consts::FRAC_PI_2, Stroke::Outline);
    // Bounds are those of the circle: the centre lies 13 from each edge, y counts downwards.
    let picture = svg::picture(&drawing);
    assert!(picture.contains("M23 13A10 10 0 0 0 13 3"), "{picture}");
}
