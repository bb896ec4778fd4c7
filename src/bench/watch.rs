//! Notices that the plan was saved, by whatever editor and in whatever way.

use std::io;
use std::path::Path;
use std::sync::Arc;
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::Duration;

use notify::{RecommendedWatcher, RecursiveMode, Watcher};

use super::room::Room;

/// An editor writes in several steps; the plan is read when it has been still for so long.
const STILL: Duration = Duration::from_millis(25);

/// Reads the plan again whenever something in its folder, or in the tables beside it, has changed; as long as the
/// watcher is kept. The folder is watched, since an editor may put a new file in the place of the old one.
pub fn watch(room: &Arc<Room>) -> io::Result<RecommendedWatcher> {
    let (sender, events) = channel();
    let mut watcher = notify::recommended_watcher(move |event: notify::Result<notify::Event>| {
        // Reading a file is an event of its own, and would go on for ever.
        if event.is_ok_and(|e| !e.kind.is_access()) {
            let _ = sender.send(());
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
    std::thread::spawn(move || {
        while events.recv().is_ok() {
            loop {
                match events.recv_timeout(STILL) {
                    Ok(()) => {}
                    Err(RecvTimeoutError::Timeout) => break,
                    Err(RecvTimeoutError::Disconnected) => return,
                }
            }
            room.read_again();
        }
    });
    Ok(watcher)
}
