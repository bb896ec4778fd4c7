//! Notices that the plan was saved, by whatever editor and in whatever way.

use std::io;
use std::path::Path;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::Duration;

use notify::event::{AccessKind, AccessMode, EventKind, ModifyKind};
use notify::{RecommendedWatcher, RecursiveMode, Watcher};

use super::room::Room;

/// An editor may write in several steps; what was not understood is told when the plan has been still for so long.
const STILL: Duration = Duration::from_millis(40);

/// What was noticed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Step {
    /// A file was closed after writing, or put in the place of another: it is whole.
    Whole,
    /// Something is being changed.
    Going,
}

/// What an event means; nothing where a file was only read, since reading it again would go on for ever.
fn step(kind: EventKind) -> Option<Step> {
    match kind {
        EventKind::Access(AccessKind::Close(AccessMode::Write))
        | EventKind::Modify(ModifyKind::Name(_)) => Some(Step::Whole),
        EventKind::Access(_) => None,
        _ => Some(Step::Going),
    }
}

/// Reads the plan again whenever something in its folder, or in the tables beside it, has changed; as long as the
/// watcher is kept. The folder is watched, since an editor may put a new file in the place of the old one.
pub fn watch(room: &Arc<Room>) -> io::Result<RecommendedWatcher> {
    let (sender, steps) = channel();
    let mut watcher = notify::recommended_watcher(move |event: notify::Result<notify::Event>| {
        if let Some(step) = event.ok().and_then(|event| step(event.kind)) {
            let _ = sender.send(step);
        }
    })
    .map_err(io::Error::other)?;
    let folder =
        room.plan().parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    watcher.watch(folder, RecursiveMode::NonRecursive).map_err(io::Error::other)?;
    let tables = folder.join("tables");
    if tables.is_dir() {
        watcher.watch(&tables, RecursiveMode::Recursive).map_err(io::Error::other)?;
    }
    let room = Arc::clone(room);
    std::thread::spawn(move || follow(&room, &steps));
    Ok(watcher)
}

/// Reads at once what is whole; else when nothing more has come for a while. A file that was closed may still be one of
/// several writes: if it is not understood, it is read once more when it is still.
fn follow(room: &Room, steps: &Receiver<Step>) {
    let mut wait = None;
    loop {
        let next = match wait {
            None => steps.recv().map_err(|_| RecvTimeoutError::Disconnected),
            Some(still) => steps.recv_timeout(still),
        };
        match next {
            Ok(Step::Going) => wait = Some(STILL),
            Ok(Step::Whole) => wait = (!room.read_again(false)).then_some(STILL),
            Err(RecvTimeoutError::Timeout) => {
                room.read_again(true);
                wait = None;
            }
            Err(RecvTimeoutError::Disconnected) => return,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Step, step};
    use notify::event::{AccessKind, AccessMode, DataChange, EventKind, ModifyKind, RenameMode};

    #[test]
    fn closed_or_renamed_is_whole_and_reading_is_nothing() {
        let closed = |mode| step(EventKind::Access(AccessKind::Close(mode)));
        assert_eq!(closed(AccessMode::Write), Some(Step::Whole));
        assert_eq!(closed(AccessMode::Read), None);
        assert_eq!(step(EventKind::Access(AccessKind::Open(AccessMode::Any))), None);
        let renamed = EventKind::Modify(ModifyKind::Name(RenameMode::To));
        assert_eq!(step(renamed), Some(Step::Whole));
        assert_eq!(step(EventKind::Modify(ModifyKind::Data(DataChange::Any))), Some(Step::Going));
    }
}
