//! Drawings at full size into new files.

use std::path::{Path, PathBuf};

use super::Trouble;
use super::args::Drawn;
use super::argument::positive;
use super::file::{printable, write_new};
use crate::report::drawing::{Drawing, dxf, sheet, svg};
use crate::trial::print::Measured;
use crate::units::{Length, Quantity};

impl Drawn {
    /// What was measured on the printed bars.
    pub(super) fn measured(&self) -> Result<Measured, Trouble> {
        let bar = |name: &str, text: &Option<String>| {
            let read = text.as_deref().map(|t| positive::<Length>(name, t)).transpose();
            read.map(|l| l.map(|l| l.si() * 1e3))
        };
        let along_mm = bar("bar", &self.bar)?;
        Ok(Measured { along_mm, across_mm: bar("bar-across", &self.bar_across)? })
    }

    /// Whether a file is to be written.
    pub(super) fn is_asked_for(&self) -> bool {
        self.svg.is_some() || self.dxf.is_some()
    }
}

/// Writes a drawing as SVG, a long one into several files, numbered, and as DXF.
pub fn write_drawing(drawing: &Drawing, drawn: &Drawn) -> Result<(), Trouble> {
    let mut files: Vec<(PathBuf, String)> = Vec::new();
    if let Some(path) = drawn.svg.as_deref() {
        let pages =
            sheet::pages(drawing, drawn.paper.into()).map_err(|e| Trouble::plain(e.to_string()))?;
        let several = pages.len() > 1;
        files.extend(pages.iter().enumerate().map(|(index, page)| {
            let path = if several { numbered(path, index + 1) } else { path.to_owned() };
            (path, svg::page(drawing, page))
        }));
    }
    files.extend(drawn.dxf.as_ref().map(|path| (path.clone(), dxf::text(drawing))));
    // All or none: a sheet without its neighbours would be taken for the whole.
    if let Some((path, _)) = files.iter().find(|(path, _)| path.exists()) {
        let message = format!("{} is there already", printable(path));
        return Err(Trouble::hint(message, "choose another name"));
    }
    files.iter().try_for_each(|(path, text)| write_new(path, text))
}

/// `s1.svg` as `s1-2.svg`.
fn numbered(path: &Path, number: usize) -> PathBuf {
    let part =
        |p: Option<&std::ffi::OsStr>| p.map(std::ffi::OsStr::to_os_string).unwrap_or_default();
    let mut name = part(path.file_stem());
    name.push(format!("-{number}"));
    let ending = part(path.extension());
    if !ending.is_empty() {
        name.push(".");
        name.push(ending);
    }
    path.with_file_name(name)
}
