//! The local page: the book in a browser, live while the plan is edited in any editor.
//!
//! It is served on the loopback address only, under a token that is new at every start, and gives nothing but
//! what it made itself: no path of a request leads to a file. The plan is read by whoever calls [`serve`]; it is
//! written only where the builder asks for it ([`change`]).

pub mod change;
pub mod guard;
mod room;
mod route;
pub mod scene;
mod shown;
mod watch;

use std::io;
use std::path::PathBuf;
use std::sync::Arc;

use crate::assess::Assessment;
use crate::book::Look;
use crate::diagnostic::SourceText;
use crate::signed::Signed;
use crate::table::Tables;
use guard::Guard;
use room::Room;

/// What stands on the disk.
pub struct OnDisk {
    /// The plan.
    pub file: Arc<SourceText>,
    /// The tables, with those beside it.
    pub tables: Tables,
    /// What tells one state of the record beside it from another; empty where there is none.
    pub record: String,
}

/// The plan as it stands on the disk, and what is beside it; or in words why it cannot be read.
pub type Loaded = Result<OnDisk, String>;

/// Holds the record beside the plan against an assessment, and adds what it finds; nothing where there is no record.
pub type Judge = Box<
    dyn Fn(&Arc<SourceText>, &Tables, &mut Assessment) -> Result<Option<Signed>, String>
        + Send
        + Sync,
>;

/// Puts another text into a file, whole or not at all; or says in words why not.
pub type Save = Box<dyn Fn(&str) -> Result<(), String> + Send + Sync>;

/// What the page needs of the rest of the world.
pub struct Setting {
    /// The plan's file.
    pub plan: PathBuf,
    /// How the book is written.
    pub look: Look,
    /// Reads the plan and its tables.
    pub load: Box<dyn Fn() -> Loaded + Send + Sync>,
    /// Holds the record against what was found.
    pub judge: Judge,
    /// Puts another text into the plan's file, whole or not at all.
    pub save: Save,
    /// Where to serve; 0 for any free port.
    pub port: u16,
}

/// Serves the page until the process is stopped; `started` is told the address, token and all.
///
/// # Errors
/// The port is taken, the folder of the plan cannot be watched, or no random number is to be had.
pub fn serve(setting: Setting, started: impl FnOnce(&str)) -> io::Result<()> {
    let runtime =
        tokio::runtime::Builder::new_current_thread().enable_io().enable_time().build()?;
    runtime.block_on(async move {
        let listener = tokio::net::TcpListener::bind(("127.0.0.1", setting.port)).await?;
        let port = listener.local_addr()?.port();
        let guard = Guard::new(port)?;
        let address = guard.address();
        let room = Arc::new(Room::new(setting));
        let _watcher = watch::watch(&room)?;
        started(&address);
        axum::serve(listener, route::router(guard, room)).await
    })
}

/// The verdicts of an assessment, counted, for the page's head.
fn counts(assessment: &Assessment) -> serde_json::Value {
    use crate::finding::Verdict;
    let pairs = Verdict::WORST_FIRST.map(|v| (v.word().to_owned(), assessment.count(v).into()));
    serde_json::Value::Object(pairs.into_iter().collect())
}
