//! Days of the calendar, and the line through readings of several years.
#![expect(clippy::panic, reason = "a test that cannot go on says why")]

use hosewright::life::Trend;
use hosewright::record::Date;

fn day(text: &str) -> Date {
    text.parse().unwrap_or_else(|e| panic!("{text}: {e}"))
}

#[test]
fn every_number_has_its_day_and_no_other() {
    let last = day("9999-12-31").number();
    for number in 1..=last {
        assert_eq!(Date::numbered(number).map(Date::number), Ok(number));
    }
    assert!(Date::numbered(0).is_err() && Date::numbered(last + 1).is_err());
    assert!(Date::numbered(u32::MAX).is_err());
}

/// Day numbers by `datetime.date.toordinal` of Python, which counts the same calendar; that of 1582-10-15 is also the
/// first day of the calendar in history.
#[test]
fn known_days_have_their_numbers() {
    for (text, number) in [
        ("0001-01-01", 1),
        ("1582-10-15", 577_736),
        ("1600-02-29", 584_082),
        ("1900-03-01", 693_655),
        ("1970-01-01", 719_163),
        ("2000-01-01", 730_120),
        ("2026-05-01", 739_737),
        ("9999-12-31", 3_652_059),
    ] {
        assert_eq!(day(text).number(), number, "{text}");
        assert_eq!(Date::numbered(number), Ok(day(text)));
        assert_eq!(day(text).to_string(), text);
    }
}

#[test]
fn days_follow_one_another_without_a_gap() {
    let mut next = day("1599-12-31").number();
    for year in 1600..2401 {
        for month in 1..=12 {
            for date in (1..=31).filter_map(|d| Date::new(year, month, d).ok()) {
                next += 1;
                assert_eq!(date.number(), next, "{date}");
            }
        }
    }
    // 400 years are 146 097 days, and one more year that is no leap year, 2400 being one.
    assert_eq!(next - day("1599-12-31").number(), 2 * 146_097 + 366);
}

#[test]
fn years_are_counted_by_the_calendar() {
    for (from, years, to) in [
        ("2024-02-29", 4.0, "2028-02-29"),
        ("2024-02-29", 1.0, "2025-02-28"),
        ("2023-12-31", 0.25, "2024-03-31"),
        ("2023-11-30", 0.25, "2024-02-29"),
        ("2018-07-01", 8.0, "2026-07-01"),
    ] {
        assert_eq!(day(from).after_years(years).unwrap(), day(to), "{from} and {years}");
    }
    for years in [-1.0, 0.1, 8000.0, f64::NAN, f64::INFINITY] {
        assert!(day("2024-01-01").after_years(years).is_err(), "{years}");
    }
}

#[test]
fn what_is_no_day_is_refused() {
    for text in [
        "",
        "2024",
        "2024-13-01",
        "2024-00-01",
        "2024-04-31",
        "2023-02-29",
        "2100-02-29",
        "24-01-01",
        "2024-1-1",
        "2024-01-01-01",
        "+024-01-01",
        "3Q24",
        "0Q2024",
        "5Q2024",
        "2024-Q0",
        "2024-Q5",
        "0000-01-01",
        "2024-01-0\u{662}",
        "Q",
        "-Q",
    ] {
        assert!(text.parse::<Date>().is_err(), "{text}");
    }
}

#[test]
fn a_line_needs_two_days_and_its_error_three() {
    let flat = |days: &[&str]| days.iter().map(|d| (day(d), 2.0)).collect::<Vec<_>>();
    assert!(Trend::through(&[]).is_none());
    assert!(Trend::through(&flat(&["2024-01-01", "2024-01-01"])).is_none());
    let two = Trend::through(&[(day("2024-01-01"), 2.0), (day("2025-01-01"), 1.0)]).unwrap();
    assert_eq!((two.slope_error, two.is_sure(), two.falls_to(0.5)), (None, false, None));
    assert!((two.lost - 0.5).abs() < 1e-15);
    let falling =
        [("2020-01-01", 2.0), ("2021-01-01", 1.9), ("2022-01-01", 1.81), ("2023-01-01", 1.7)];
    let trend = Trend::through(&falling.map(|(d, y)| (day(d), y))).unwrap();
    // -0.099 L/min a year from 2.001 on: 5.06 years to 1.5.
    assert_eq!(trend.falls_to(1.5), Some(day("2025-01-01")));
    let rising = falling.map(|(d, y)| (day(d), 4.0 - y));
    assert_eq!(Trend::through(&rising).unwrap().falls_to(1.5), None);
}
