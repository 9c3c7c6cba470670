//! What is put to the test.

use super::entries::Entry;
use super::oracle::Choice;

/// A question of an engine, in its own names.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    /// What it is answered under.
    pub id: String,
    /// Which statement: `reach`, `seen`, `holds`, `place`.
    pub kind: String,
    /// What is asked about.
    pub these: Vec<String>,
    /// With respect to what.
    pub those: Vec<String>,
}

/// How everything goes back, in the engine's names.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PutBack {
    /// What is closed, one after the other.
    pub order: Vec<String>,
    /// Last looks: of what, before what goes on.
    pub looks: Vec<(String, String)>,
}

/// Something that makes a way back from records and answers.
///
/// Every call may fail with a sentence; a failure ends the run and counts as not legal.
pub trait Engine {
    /// Records an entry and gives the engine's names: that of the part first if there is one, then
    /// those of the fixings.
    ///
    /// # Errors
    /// Why it was not recorded.
    fn took(&mut self, entry: &Entry) -> Result<Vec<String>, String>;

    /// Taking apart is over.
    ///
    /// # Errors
    /// Why that was not recorded.
    fn all_off(&mut self) -> Result<(), String> {
        Ok(())
    }

    /// The open questions, most useful first.
    ///
    /// # Errors
    /// Why there are none to be had.
    fn questions(&mut self) -> Result<Vec<Question>, String>;

    /// An answer.
    ///
    /// # Errors
    /// Why it was not taken.
    fn answer(&mut self, question: &Question, choice: Choice) -> Result<(), String>;

    /// The way back.
    ///
    /// # Errors
    /// Why there is none.
    fn put_back(&mut self) -> Result<PutBack, String>;
}
