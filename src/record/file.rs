//! The file of a record: locked while it is touched, added to at its end, repaired where it breaks off.

use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use super::chain::{Broken, LONGEST_LINE};
use super::digest::Digest;
use super::end::{End, NoEnd, Tail};
use super::entry::{Draft, Entry, Unfit};

/// A record of a machine grows by some hundred bytes an entry; a file beyond this size is none.
pub const LARGEST_BYTES: u64 = 256 * 1024 * 1024;

/// Bytes from the end of the file that hold its last entry as a rule.
const NEAR_END: u64 = 8 * 1024;
/// Bytes from the end of the file that hold its last entry and what an interrupted writer left behind it.
const LARGEST_END: u64 = 2 * LONGEST_LINE as u64 + 2;
/// So often the file is opened again when another was put in its place meanwhile.
const TRIES: usize = 16;
/// Torn ends that are kept beside a record.
const MOST_TORN: usize = 10_000;

/// Why a record was not read or not added to.
#[derive(Debug, thiserror::Error)]
pub enum Refusal {
    /// There is none.
    #[error("there is no such file")]
    Missing,
    /// A folder has its name.
    #[error("this is a folder, not a record")]
    Folder,
    /// A link has its name: entries would go to a place that nobody looks at.
    #[error("this is a symbolic link; a record is the file itself")]
    SymbolicLink,
    /// A device, a pipe or a socket has its name.
    #[error("this is no ordinary file")]
    Special,
    /// The file is too large.
    #[error("the file has {0} bytes, and a record at most {LARGEST_BYTES}")]
    TooLarge(u64),
    /// Another file was put in its place again and again.
    #[error("the file is being replaced all the time")]
    Replaced,
    /// The system refused.
    #[error("the file could not be {doing}: {error}")]
    System {
        /// What was tried, as a participle.
        doing: &'static str,
        /// What the system said.
        error: io::Error,
    },
    /// The last line is no entry that another could follow.
    #[error("{what}; nothing was added")]
    LastEntry {
        /// Line of the file, from 1.
        line: usize,
        /// Column in characters, from 1.
        column: usize,
        /// What is wrong with it.
        what: Broken,
    },
    /// The end of the file is not the beginning of an entry.
    #[error("the end of the file is no entry that was broken off; nothing was added")]
    ForeignEnd {
        /// Line of the file, from 1.
        line: usize,
    },
    /// The draft cannot become an entry.
    #[error(transparent)]
    Unfit(#[from] Unfit),
    /// The torn end could not be kept, so that it was left where it is.
    #[error("the torn end could not be set aside into {file}: {error}; nothing was added")]
    NotSetAside {
        /// The file that was to hold it.
        file: PathBuf,
        /// What the system said.
        error: io::Error,
    },
    /// The entry could not be written, and the record is as it was.
    #[error("the entry could not be written: {0}; the record is as it was before")]
    NotAdded(io::Error),
    /// The entry could not be written, and what was written of it stands there still.
    #[error(
        "the entry could not be written: {error}; nor could what was written of it be taken back: \
         {undo}; the next entry sets it aside"
    )]
    NotTakenBack {
        /// What the system said of the entry.
        error: io::Error,
        /// What it said of taking it back.
        undo: io::Error,
    },
}

impl Refusal {
    fn system(doing: &'static str) -> impl Fn(io::Error) -> Self {
        move |error| Self::System { doing, error }
    }

    /// Line and column of what is wrong in the file.
    pub fn place(&self) -> Option<(usize, usize)> {
        match self {
            Self::LastEntry { line, column, .. } => Some((*line, *column)),
            Self::ForeignEnd { line } => Some((*line, 1)),
            _ => None,
        }
    }
}

/// What was put right before an entry was added.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Repair {
    /// The last entry was whole but for the end of its line.
    Completed,
    /// A line that broke off was moved into a file beside the record.
    SetAside {
        /// How many bytes.
        bytes: usize,
        /// The file that holds them now.
        file: PathBuf,
    },
}

/// An entry that will not be lost.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Added {
    /// The entry as written.
    pub entry: Entry,
    /// What was put right before.
    pub repair: Option<Repair>,
}

/// The bytes of a record as they stand between two writers.
///
/// # Errors
/// Where there is no record, where its name belongs to something else, and where it cannot be read.
pub fn load(path: &Path) -> Result<Vec<u8>, Refusal> {
    ordinary(path)?.ok_or(Refusal::Missing)?;
    let file = File::open(path).map_err(Refusal::system("opened"))?;
    match file.lock_shared() {
        // Without locks a writer may be seen at work: then the end is torn, and is told as such.
        Err(error) if error.kind() == ErrorKind::Unsupported => {}
        locked => locked.map_err(Refusal::system("locked"))?,
    }
    let length = length(&file)?;
    let mut bytes = Vec::with_capacity(usize::try_from(length).unwrap_or(0));
    let read = (&file).take(LARGEST_BYTES).read_to_end(&mut bytes);
    read.map_err(Refusal::system("read"))?;
    Ok(bytes)
}

/// Adds an entry to a record, which it begins where there is none.
///
/// # Gives
/// The entry once it is on the disk. Any number of writers may do so at once; each gets its own number.
///
/// # Notes
/// A line that a killed writer left unfinished is moved into a file beside the record; a whole entry
/// that lacks only the end of its line gets it. Only the last entry is looked at, so that the time does not
/// grow with the record.
///
/// # Errors
/// As [`load`], and where the draft is unfit, where the last line is no entry, and where the disk is full:
/// then nothing is added and nothing lost.
pub fn add(path: &Path, draft: &Draft) -> Result<Added, Refusal> {
    // A draft that cannot become an entry does not even begin a record.
    Entry::follow(draft, 1, Digest::NONE)?;
    let mut file = open(path)?;
    let mut length = length(&file)?;
    if length == 0 {
        // Whoever finds a byte in the file can rely on its name being on the disk.
        sync_folder(path).map_err(Refusal::system("entered in its folder"))?;
    }
    let end = end(&mut file, length)?;
    // Refused before anything is touched.
    let (entry, line) = Entry::follow(draft, end.number.saturating_add(1), end.digest)?;
    let repair = repair(&mut file, path, &end.tail, &mut length)?;
    if length + line.len() as u64 > LARGEST_BYTES {
        return Err(Refusal::TooLarge(length + line.len() as u64));
    }
    write_at_end(&mut file, length, line.as_bytes()).map_err(|e| take_back(&file, length, e))?;
    Ok(Added { entry, repair })
}

/// Whether an ordinary file has the name; nothing may have it, but nothing else.
fn ordinary(path: &Path) -> Result<Option<fs::Metadata>, Refusal> {
    match fs::symlink_metadata(path) {
        Ok(found) if found.is_symlink() => Err(Refusal::SymbolicLink),
        Ok(found) if found.is_dir() => Err(Refusal::Folder),
        Ok(found) if !found.is_file() => Err(Refusal::Special),
        Ok(found) => Ok(Some(found)),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
        Err(error) => Err(Refusal::system("looked at")(error)),
    }
}

/// The file, for this writer alone until it is closed.
fn open(path: &Path) -> Result<File, Refusal> {
    for _ in 0..TRIES {
        let mut how = OpenOptions::new();
        how.read(true).write(true);
        // A file is made anew or opened, never made through a link that appeared meanwhile.
        let opened = match ordinary(path)? {
            Some(_) => how.open(path),
            None => how.create_new(true).open(path),
        };
        let file = match opened {
            Ok(file) => file,
            Err(e) if matches!(e.kind(), ErrorKind::AlreadyExists | ErrorKind::NotFound) => {
                continue;
            }
            Err(error) => return Err(Refusal::system("opened for writing")(error)),
        };
        file.lock().map_err(Refusal::system("locked"))?;
        if is_still(path, &file)? {
            return Ok(file);
        }
    }
    Err(Refusal::Replaced)
}

/// Whether the name still belongs to the file: an editor puts a new one in its place.
#[cfg(unix)]
fn is_still(path: &Path, file: &File) -> Result<bool, Refusal> {
    use std::os::unix::fs::MetadataExt;
    let opened = file.metadata().map_err(Refusal::system("looked at"))?;
    let named = ordinary(path)?;
    Ok(named.is_some_and(|n| (n.dev(), n.ino()) == (opened.dev(), opened.ino())))
}

/// Elsewhere a file that is open keeps its name.
#[cfg(not(unix))]
fn is_still(path: &Path, _: &File) -> Result<bool, Refusal> {
    Ok(ordinary(path)?.is_some())
}

fn length(file: &File) -> Result<u64, Refusal> {
    let length = file.metadata().map_err(Refusal::system("looked at"))?.len();
    if length > LARGEST_BYTES { Err(Refusal::TooLarge(length)) } else { Ok(length) }
}

/// Puts the folder on the disk, and with it the name of a new file.
#[cfg(unix)]
fn sync_folder(path: &Path) -> io::Result<()> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    File::open(folder)?.sync_all()
}

/// Elsewhere a folder cannot be opened, and the system keeps its names by itself.
#[cfg(not(unix))]
fn sync_folder(_: &Path) -> io::Result<()> {
    Ok(())
}

/// The end of the file, by as little of it as will do.
fn end(file: &mut File, length: u64) -> Result<End, Refusal> {
    let mut found = Err(NoEnd::TooFewBytes);
    for window in [NEAR_END, LARGEST_END] {
        let start = length.saturating_sub(window);
        let bytes = read_from(file, start).map_err(Refusal::system("read"))?;
        found = End::of(&bytes, start == 0);
        if found != Err(NoEnd::TooFewBytes) {
            break;
        }
    }
    let from_end = match &found {
        Ok(_) => 0,
        Err(NoEnd::TooFewBytes) => LONGEST_LINE,
        Err(NoEnd::Last { from_end, .. } | NoEnd::Foreign { from_end }) => *from_end,
    };
    match found {
        Ok(end) => Ok(end),
        Err(NoEnd::Last { column, what, .. }) => {
            Err(Refusal::LastEntry { line: line_at(file, length, from_end)?, column, what })
        }
        Err(_) => Err(Refusal::ForeignEnd { line: line_at(file, length, from_end)? }),
    }
}

fn read_from(file: &mut File, start: u64) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    file.seek(SeekFrom::Start(start))?;
    file.take(LARGEST_BYTES).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// The line in which a byte stands, counted from the end.
fn line_at(file: &mut File, length: u64, from_end: usize) -> Result<usize, Refusal> {
    let before = length.saturating_sub(from_end as u64);
    let mut bytes = read_from(file, 0).map_err(Refusal::system("read"))?;
    bytes.truncate(usize::try_from(before).unwrap_or(usize::MAX));
    Ok(bytes.split(|b| *b == b'\n').count())
}

/// Puts the end of the file right; its length changes with that.
fn repair(
    file: &mut File,
    path: &Path,
    tail: &Tail,
    length: &mut u64,
) -> Result<Option<Repair>, Refusal> {
    match *tail {
        Tail::Nothing => Ok(None),
        Tail::Whole => {
            write_at_end(file, *length, b"\n").map_err(|e| take_back(file, *length, e))?;
            *length += 1;
            Ok(Some(Repair::Completed))
        }
        Tail::Torn(bytes) => {
            let start = length.saturating_sub(bytes as u64);
            let torn = read_from(file, start).map_err(Refusal::system("read"))?;
            let aside = set_aside(path, &torn)?;
            file.set_len(start).and_then(|()| file.sync_all()).map_err(Refusal::system("cut"))?;
            *length = start;
            Ok(Some(Repair::SetAside { bytes, file: aside }))
        }
    }
}

/// Keeps the torn end in a new file beside the record, unless it is kept there already.
fn set_aside(path: &Path, torn: &[u8]) -> Result<PathBuf, Refusal> {
    let mut last = path.to_path_buf();
    for number in 1..=MOST_TORN {
        let mut name = path.as_os_str().to_os_string();
        name.push(format!(".torn-{number}"));
        last = PathBuf::from(name);
        let failed = |error| Refusal::NotSetAside { file: last.clone(), error };
        match OpenOptions::new().write(true).create_new(true).open(&last) {
            Ok(mut file) => {
                let kept = file.write_all(torn).and_then(|()| file.sync_all());
                if let Err(error) = kept.and_then(|()| sync_folder(path)) {
                    // What was kept in part would be taken for the whole.
                    let _ = fs::remove_file(&last);
                    return Err(failed(error));
                }
                return Ok(last);
            }
            // A writer that was killed between keeping and cutting left the same bytes.
            Err(error) if error.kind() == ErrorKind::AlreadyExists => {
                if holds(&last, torn) {
                    return Ok(last);
                }
            }
            Err(error) => return Err(failed(error)),
        }
    }
    let error = io::Error::new(ErrorKind::AlreadyExists, "too many of them are there already");
    Err(Refusal::NotSetAside { file: last, error })
}

/// Whether an ordinary file holds these bytes and no others, on the disk.
fn holds(path: &Path, bytes: &[u8]) -> bool {
    let mut found = Vec::new();
    let limit = bytes.len() as u64 + 1;
    let read = ordinary(path).is_ok_and(|f| f.is_some())
        && File::open(path)
            .is_ok_and(|f| f.sync_all().is_ok() && f.take(limit).read_to_end(&mut found).is_ok());
    read && found == bytes
}

/// Writes at the end, in one piece unless the system parts it, and waits for the disk.
fn write_at_end(file: &mut File, length: u64, bytes: &[u8]) -> io::Result<()> {
    file.seek(SeekFrom::Start(length))?;
    file.write_all(bytes)?;
    file.sync_all()
}

/// Cuts off what was written of an entry that could not be written whole.
fn take_back(file: &File, length: u64, error: io::Error) -> Refusal {
    match file.set_len(length).and_then(|()| file.sync_all()) {
        Ok(()) => Refusal::NotAdded(error),
        Err(undo) => Refusal::NotTakenBack { error, undo },
    }
}
