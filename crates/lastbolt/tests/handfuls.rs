//! Why: most users never write a file. A job from nothing must go from two questions to a finished
//! record by commands alone, with what happened in the middle corrected, and the next job on the
//! same machine must start with everything known.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
mod common;

use common::{Ran, in_garage};
use serde_json::Value;

struct Bench {
    folder: tempfile::TempDir,
    job: String,
}

impl Bench {
    fn begin(machine: &str, after: &str) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let words = ["begin", "--machine", machine, "--after", after];
        let begun = in_garage(folder.path(), &words);
        assert_eq!(begun.code, 0, "{}", begun.err);
        let job = begun.out.trim().to_owned();
        Self { folder, job }
    }

    /// Runs a command whose first word after it is the job.
    fn tries(&self, command: &str, words: &[&str]) -> Ran {
        let all: Vec<&str> =
            [command, &self.job].into_iter().chain(words.iter().copied()).collect();
        in_garage(self.folder.path(), &all)
    }

    fn runs(&self, command: &str, words: &[&str]) -> Ran {
        let ran = self.tries(command, words);
        assert_eq!(ran.code, 0, "{command} {words:?}: {}{}", ran.out, ran.err);
        ran
    }

    fn json(&self, command: &str, words: &[&str]) -> Value {
        let words: Vec<&str> = words.iter().copied().chain(["--json"]).collect();
        self.runs(command, &words).json()
    }

    fn strips_the_saw(&self) {
        self.runs("expected", &["nut", "3", "--at", "above"]);
        let ties = ["--tie", "nut:3", "--tie", "clip", "--tie", "earth"];
        self.runs("took", &[&["tray", "--from", "above"], &ties[..]].concat());
        self.runs("took", &["--from", "below", "--tie", "screw:6"]);
        self.runs(
            "took",
            &["--no-part", "--from", "above", "--tie", "plug:2:coil plugs", "--feel"],
        );
        self.runs("took", &["bearing", "--from", "above", "--tie", "circlip"]);
    }
}

fn order(plan: &Value, list: &str) -> Vec<String> {
    let steps = plan[list].as_array().unwrap().iter();
    let text = |step: &Value, key: &str| step[key].as_str().unwrap().to_owned();
    steps.map(|step| format!("{} {}", text(step, "do"), text(step, "id"))).collect()
}

#[test]
fn from_two_questions_to_the_record() {
    let bench = Bench::begin("Bramble saw", "bearing");
    bench.strips_the_saw();
    // Corrected later, in words of one's own.
    bench.runs("correct", &["part 1", "--name", "guard"]);
    bench.runs("correct", &["guard screws", "--split", "1", "--name", "long screw"]);
    bench.runs("fact", &["long screw", "length", "40 mm, upper hole"]);
    bench.runs("all-off", &[]);
    let plan = bench.json("plan", &[]);
    assert_eq!(plan["possible"], true);
    assert!(order(&plan, "strip").is_empty(), "{plan}");
    let way_back = order(&plan, "build");
    let at = |what: &str| way_back.iter().position(|step| step == what);
    assert_eq!(at("on bearing"), Some(0), "{way_back:?}");
    assert!(at("make long screw") > at("on guard"), "{way_back:?}");
    assert_eq!(way_back.last().map(|step| &step[..9]), Some("make tray"), "{way_back:?}");
    // One look is passed by, the rest is done from the list.
    let mut steps = 0;
    while let Some(step) = bench.json("next", &[])["next"].as_object() {
        let (id, verb) = (step["id"].as_str().unwrap(), step["do"].as_str().unwrap());
        let verb = if verb == "look" { "looked" } else { verb };
        bench.runs("did", &[id, "--do", verb, "--as", "Wren"]);
        steps += 1;
        assert!(steps < 60, "the list never ends");
    }
    let gate = bench.runs("state", &[]).out;
    assert!(gate.contains("All home"), "{gate}");
    bench.runs("did", &["first start", "--do", "gate"]);
    bench.runs("did", &["--do", "first_start", "--note", "ran at once"]);
    bench.runs("did", &["--do", "finished"]);
    let record = bench.runs("record", &[]).out;
    for said in ["Tray off: 3 nuts, 1 clip, 1 earth", "ran at once", "Wren", "called long screw"] {
        assert!(record.contains(said), "{said} is not in:\n{record}");
    }
}

/// What was exported is a machine file like any other, in the user's words; the next job on that
/// machine knows it and plans the way in.
#[test]
fn the_second_time_everything_is_known() {
    let bench = Bench::begin("Bramble saw", "bearing");
    bench.strips_the_saw();
    bench.runs("correct", &["part 1", "--name", "guard \"left\""]);
    let file = bench.folder.path().join("saw.toml");
    bench.runs("export", &[file.to_str().unwrap()]);
    let checked = in_garage(bench.folder.path(), &["check", "saw.toml", "--json"]);
    assert_eq!(checked.code, 0, "{}", checked.out);
    let notes = checked.json();
    assert!(notes.as_array().unwrap().iter().all(|told| told["level"] == "note"), "{notes}");
    let again = bench.tries("export", &[file.to_str().unwrap()]);
    assert_eq!(again.code, 2, "an export never writes over a file unasked");

    let words = ["begin", "--machine", " bramble  SAW ", "--after", "Bearing"];
    let second = in_garage(bench.folder.path(), &words);
    assert!(second.err.contains(&bench.job), "{}", second.err);
    let second = Bench { folder: bench.folder, job: second.out.trim().to_owned() };
    let plan = second.json("plan", &[]);
    let way_in = order(&plan, "strip");
    let at = |what: &str| way_in.iter().position(|step| step == what);
    assert!(at("off tray") < at("off guard \"left\""), "{way_in:?}");
    assert_eq!(way_in.last().map(String::as_str), Some("off bearing"), "{way_in:?}");
    // Another machine knows nothing of it.
    let words = ["begin", "--machine", "Bramble mill", "--after", "bearing"];
    let other = in_garage(second.folder.path(), &words);
    assert!(!other.err.contains("Known"), "{}", other.err);
}

/// What stands in the file of a job is corrected by its record; the file stays as it is, and what
/// is exported is a machine file that says it right.
#[test]
fn what_stands_in_the_file_is_corrected_by_record() {
    let first = Bench::begin("Bramble saw", "bearing");
    first.strips_the_saw();
    let words = ["begin", "--machine", "Bramble saw", "--after", "bearing"];
    let begun = in_garage(first.folder.path(), &words);
    let second = Bench { folder: first.folder, job: begun.out.trim().to_owned() };
    let file = || {
        let job = second.folder.path().join("g/jobs").join(&second.job);
        std::fs::read_dir(job).unwrap().count()
    };
    let before = file();
    second.runs("did", &["tray nuts"]);
    second.runs("correct", &["tray nuts", "--name", "long nuts", "--count", "4"]);
    second.runs("correct", &["part 1", "--name", "guard"]);
    second.runs("correct", &["tray clip", "--kind", "hook"]);
    assert_eq!(file(), before);
    let state = second.runs("state", &[]).out;
    assert!(state.contains("still off: 4 nuts"), "{state}");
    second.runs("did", &["long nuts", "--do", "make"]);
    let plan = second.json("plan", &[]);
    assert!(order(&plan, "strip").contains(&"off guard".to_owned()), "{plan}");
    let text = second.runs("export", &[]).out;
    for said in ["[part.\"guard\"]", "[tie.\"long nuts\"]", "count = 4", "kind = \"hook\""] {
        assert!(text.contains(said), "{said} is not in:\n{text}");
    }
    assert!(!text.contains("tray nuts") && !text.contains("\"part 1\""), "{text}");
    second.runs("export", &["known.toml"]);
    let checked = in_garage(second.folder.path(), &["check", "known.toml", "--json"]);
    assert_eq!(checked.code, 0, "{}", checked.out);
    // What a record cannot say of a file is refused with what can be done.
    for words in [&["tray", "--never-was"][..], &["tray clip", "--from", "below"]] {
        let ran = second.tries("correct", words);
        assert_eq!(ran.code, 2, "{words:?}");
        assert!(ran.err.contains("stands in the machine file"), "{}", ran.err);
    }
}

#[test]
fn answers_change_the_way_back() {
    let bench = Bench::begin("Bramble saw", "bearing");
    bench.strips_the_saw();
    let open = bench.json("ask", &[]);
    let open = open.as_array().unwrap();
    assert!(!open.is_empty());
    for question in open {
        let side = |key: &str| question[key].as_array().unwrap().clone();
        assert_eq!(side("about"), [side("these"), side("those")].concat());
        assert_eq!(question["choices"], serde_json::json!(["yes", "no", "unknown"]));
    }
    // Everything is free of everything: nothing of the record's order is left but what holds what.
    for _ in 0..40 {
        let open = bench.json("ask", &[]);
        let Some(question) = open.as_array().unwrap().first().cloned() else { break };
        let choice = if question["kind"] == "holds" { "no" } else { "yes" };
        bench.runs("answer", &[question["id"].as_str().unwrap(), choice]);
    }
    assert_eq!(bench.json("ask", &[]), serde_json::json!([]));
    let walks = |plan: &Value| {
        let from: Vec<&Value> =
            plan["build"].as_array().unwrap().iter().map(|step| &step["from"]).collect();
        from.windows(2).filter(|pair| pair[0] != pair[1]).count()
    };
    let plan = bench.json("plan", &[]);
    assert_eq!(walks(&plan), 1, "{plan}");
}

/// Whoever reads the list of questions once and answers it to its end is never refused, also where
/// an answer made a later one needless; an id that was never asked for is.
#[test]
fn a_list_of_questions_is_answered_to_its_end() {
    let (mut needless, mut asked) = (0, 0);
    let patterns = [
        ["no", "no", "yes"],
        ["yes", "no", "unknown"],
        ["unknown", "no", "no"],
        ["unknown", "unknown", "no"],
        ["no", "yes", "no"],
        ["yes", "yes", "no"],
    ];
    for choices in patterns {
        let bench = Bench::begin("Bramble saw", "bearing");
        bench.strips_the_saw();
        bench.runs("took", &["box", "--from", "below", "--tie", "screw:4", "--tie", "hose:2"]);
        bench.runs("took", &["pump", "--from", "above", "--tie", "nut:2", "--tie", "plug"]);
        for _ in 0..4 {
            let open = bench.json("ask", &[]);
            for question in open.as_array().unwrap() {
                let id = question["id"].as_str().unwrap();
                let open_now = bench.json("ask", &[]);
                let is_open = open_now.as_array().unwrap().iter().any(|one| one["id"] == *id);
                needless += u32::from(!is_open);
                bench.runs("answer", &[id, choices[asked % choices.len()]]);
                asked += 1;
            }
        }
        let never = bench.tries("answer", &["reach-0000000000000000", "yes"]);
        assert_eq!(never.code, 2);
        let record = bench.runs("record", &[]).out;
        assert!(record.contains("Answered no: "), "{record}");
        assert!(record.contains(" go on in this order: "), "{record}");
    }
    assert!(needless > 0, "no answer made another question needless: nothing is tested");
}

/// The same call once more is the same entry; a handful is taken back as one.
#[test]
fn once_is_once() {
    let bench = Bench::begin("Bramble saw", "");
    let words = ["tray", "--from", "above", "--tie", "nut:3", "--event", "phone-7"];
    let first = bench.json("took", &words);
    assert_eq!(bench.json("took", &words), first);
    let other = bench.tries("took", &["tray", "--tie", "nut:4", "--event", "phone-7"]);
    assert_eq!(other.code, 2, "{}", other.err);
    assert!(bench.runs("state", &[]).out.contains("still off: 3 nuts, 1 part"));
    bench.runs("take-back", &[]);
    assert!(bench.runs("state", &[]).out.contains("nothing off"));
}

#[test]
fn bad_words_get_a_sentence() {
    let bench = Bench::begin("Bramble saw", "");
    bench.runs("took", &["tray", "--tie", "nut:3"]);
    let before = bench.runs("record", &[]).out.lines().count();
    let bad: [(&str, &[&str], &str); 17] = [
        ("took", &["tray", "--no-part"], "cannot be used with"),
        ("took", &["--no-part"], "must say more"),
        ("took", &["--tie", ":3"], "the kind is missing"),
        ("took", &["--tie", "nut:0"], "is no count"),
        ("took", &["--tie", "nut:many"], "is no count"),
        ("answer", &["reach-0", "yes"], "There is no question"),
        ("answer", &["reach-0", "perhaps"], "is no answer"),
        ("correct", &["tray"], "is not said what"),
        ("correct", &["troy", "--name", "x"], "Did you mean \"tray\"?"),
        ("correct", &["tray nuts", "--split", "3"], "fewer go apart"),
        ("fact", &["tray", "colour", "red"], "is no fact that can be said"),
        ("fact", &["tray", "length", " "], "The fact is blank"),
        ("took", &["lid", "--from", " "], "The place is blank"),
        ("leftover", &[" "], "not said what is over"),
        ("found", &[], "Nothing is missing"),
        ("taken-out", &[], "Nothing is in"),
        ("put-in", &["rag", "--at", "nowhere"], "This job has no \"nowhere\""),
    ];
    for (command, words, said) in bad {
        let ran = bench.tries(command, words);
        assert_eq!(ran.code, 2, "{command} {words:?}: {}{}", ran.out, ran.err);
        assert!(ran.err.contains(said), "{command} {words:?}: {}", ran.err);
    }
    assert_eq!(bench.runs("record", &[]).out.lines().count(), before, "nothing was recorded");
    for words in [&["begin", "--machine", " "][..], &["begin", "--after", "x"], &["begin"]] {
        let ran = in_garage(bench.folder.path(), words);
        assert_eq!(ran.code, 2, "{words:?}: {}", ran.err);
    }
}

/// What `took` printed still means the thing after it was renamed, and its fixings with it.
#[test]
fn a_former_name_means_what_has_another_now() {
    let bench = Bench::begin("Bramble saw", "");
    bench.runs("took", &["--from", "above", "--tie", "nut:3"]);
    bench.runs("correct", &["part 1", "--name", "tray"]);
    bench.runs("fact", &["part 1", "sits", "arm up"]);
    bench.runs("did", &["part 1", "--do", "on"]);
    let once = ["part 1 nuts", "--do", "make", "--event", "phone-9"];
    bench.runs("did", &once);
    assert!(bench.runs("did", &once).out.contains("Recorded before"), "the same again is the same");
    let state = bench.json("state", &[]);
    let stands: Vec<&str> =
        state["things"].as_array().unwrap().iter().map(|t| t["stands"].as_str().unwrap()).collect();
    assert_eq!(stands, ["home", "home"], "{state}");
    assert_eq!(bench.tries("did", &["part 9", "--do", "on"]).code, 2);
}

/// What was handed over with something off says so, and not that nothing is left.
#[test]
fn what_is_handed_over_open_says_so() {
    let bench = Bench::begin("Bramble saw", "");
    bench.runs("took", &["tray", "--tie", "nut:3"]);
    for said in [bench.runs("did", &["--do", "finished"]), bench.runs("next", &[])] {
        assert!(said.out.contains("Handed over with 2 open: "), "{}", said.out);
        assert!(!said.out.contains("Nothing is left"), "{}", said.out);
    }
    bench.runs("did", &["--do", "reopened"]);
    bench.runs("did", &["tray", "--do", "home"]);
    let said = bench.runs("did", &["--do", "finished"]).out;
    assert!(said.contains("Nothing is left") && !said.contains(" open"), "the twin: {said}");
}

/// A job that is not there is asked for in vain, as any other name; the disk has done nothing.
#[test]
fn no_such_job() {
    let bench = Bench::begin("Bramble saw", "");
    for words in [&["next", "no-such-job-1"][..], &["took", "no-such-job-1", "tray"]] {
        let ran = in_garage(bench.folder.path(), words);
        assert_eq!(ran.code, 2, "{words:?}: {}", ran.err);
        assert!(ran.err.contains("There is no job"), "{}", ran.err);
    }
}
