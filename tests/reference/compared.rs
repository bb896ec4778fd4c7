//! One figure of a document beside ours.

/// A figure that a document prints, and what we give for it.
#[derive(Clone, Debug)]
pub struct Compared {
    /// What it is about, as a path: the kernel, then the file or the topic.
    pub subject: String,
    /// What the case is called.
    pub name: String,
    /// Which answer of it.
    pub what: String,
    /// Unit of the three figures, where it is not that of the kernel.
    pub unit: String,
    /// What the document prints, or what it would have to print where that is wrong.
    pub printed: f64,
    /// What we give.
    pub ours: f64,
    /// How far they may lie apart.
    pub within: f64,
    /// Why so far.
    pub because: String,
    /// What the document prints wrong, and how that is known.
    pub differs: Option<String>,
    /// The document.
    pub document: String,
    /// The place in it.
    pub place: String,
    /// An open copy.
    pub url: Option<String>,
    /// How far it is to be trusted.
    pub standing: String,
}

impl Compared {
    /// How far ours lies above what is printed.
    pub fn off(&self) -> f64 {
        self.ours - self.printed
    }

    /// What is wrong where they lie too far apart.
    pub fn fault(&self) -> Option<String> {
        let near = self.off().abs() <= self.within;
        let Self { name, what, printed, within, ours, document, place, .. } = self;
        (!near).then(|| {
            format!(
                "{name}, {what}: {printed} wanted within {within}, {ours} got ({document}, {place})"
            )
        })
    }
}
