//! hosewright: a plan of hoses and tubes in, what is wrong with it out.
//!
//! # A tour
//!
//! A plan is a text, and so is everything that is said of it. Reading gives a [plan](plan::Plan) or all problems of
//! the text at once; [`assess`](assess::assess) solves and checks it.
//!
//! ```
//! use hosewright::assess::{assess, read_and_assess};
//! use hosewright::diagnostic::SourceText;
//! use hosewright::finding::Verdict;
//! use hosewright::plan::{Plan, starter::STARTER};
//! use hosewright::report::{Layout, json, terminal};
//! use hosewright::table::Tables;
//! use hosewright::units::System;
//!
//! let tables = Tables::builtin();
//! let file = SourceText::new("plan.toml", STARTER);
//! let mut plan = Plan::read(&file, &tables).unwrap();
//!
//! // Facts: what was worked out, each with its source where it came out of a table.
//! let assessment = assess(plan.clone(), &tables);
//! let line = &assessment.facts.lines[0];
//! let cut = line.makeup.as_ref().unwrap().cut.cut_mm;
//! assert!((600.0..900.0).contains(&cut));
//!
//! // Findings: facts held against limits, with what to do.
//! let bend = assessment.findings.iter().find(|f| f.code == "geometry.bend-radius").unwrap();
//! assert_eq!(bend.verdict, Verdict::Ok);
//! assert!(bend.value.unwrap() >= bend.limit.unwrap());
//!
//! // The same machine with one thing changed.
//! plan.lines[0].cut_short_mm = 60.0;
//! assert!(assess(plan, &tables).worst() > assessment.worst());
//!
//! // For a person, and for a program: the schema of this is `report::schema::CHECK`.
//! let layout = Layout { width: 80, system: System::Metric };
//! let text = terminal::check(&assessment, None, layout, terminal::Detail::Normal, None);
//! assert!(text.contains("my machine"));
//! assert_eq!(json::check(&assessment, None)["lines"][0]["id"], "F1");
//!
//! // What is wrong with a text has a place in it.
//! let broken = SourceText::new("plan.toml", STARTER.replace("90 L/h", "90 mm"));
//! let problems = read_and_assess(&broken, &tables).unwrap_err();
//! assert_eq!(broken.position(problems[0].span.start).1, 21);
//! ```
//!
//! Kernels stand alone: [`geometry`], [`hydraulics`], [`rating`], [`heat`] and [`makeup`] take numbers and return
//! numbers, know no plan, and each function says where its formula is from and where it holds.
//!
//! ```
//! use hosewright::hydraulics::friction::darcy;
//! let found = darcy(1e5, 2e-4).unwrap();
//! assert!((found.factor - 0.0189).abs() < 5e-4);
//! ```
//!
//! # What is meant to stay
//!
//! The plan's keys, the keys of JSON answers, the codes of checks and the exit status. Types of this library may
//! change from one version to the next.
pub mod assess;
mod bench;
pub mod book;
mod bounds;
mod built;
pub mod check;
pub mod cli;
pub mod compare;
pub mod curve;
pub mod diagnostic;
pub mod document;
pub mod finding;
pub mod geometry;
pub mod heat;
pub mod hydraulics;
pub mod identify;
pub mod life;
pub mod makeup;
pub mod pile;
pub mod plan;
pub mod rating;
pub mod record;
pub mod report;
pub mod signed;
pub mod size;
pub mod solve;
pub mod source;
pub mod sweep;
pub mod table;
pub mod trial;
pub mod uncertainty;
pub mod units;
mod wide;
