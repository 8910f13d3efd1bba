//! A walk through every command, with right and with wrong input.

#![allow(unreachable_pub, reason = "test support")]

use std::{fs, net::TcpListener};

use tempfile::TempDir;

use crate::common::{Answer, command, root};

/// Each as it is typed, and what comes on standard input. `~` is a blank in a
/// value, `DIR` the folder of the walk, `BUSY` a port that is in use. What
/// comes later finds what came before.
const COMMANDS: &[(&str, &str)] = &[
    // Files and folders.
    ("read DIR/nowhere.csv", ""),
    ("read DIR", ""),
    ("read -", ""),
    ("read - --unit V", "1\n2\n"),
    ("read -", "time_s,current\n0,1\n1,1\n2,1\n"),
    ("assess DIR/nowhere.toml", ""),
    ("assess DIR/binary.toml", ""),
    ("assess DIR/long.toml", ""),
    ("assess DIR/broken.toml", ""),
    ("assess DIR/wrong.toml", ""),
    ("assess 1 --data DIR/file", ""),
    ("assess 7 --data DIR/data", ""),
    // Reading a log.
    ("read demo/night.csv", ""),
    ("read DIR/log.csv --svg DIR/log.svg", ""),
    ("read DIR/log.csv --svg DIR/nowhere/log.svg", ""),
    ("read DIR/log.csv --segments-only", ""),
    ("read DIR/log.csv --limit 0A", ""),
    ("read DIR/log.csv --penalty -1", ""),
    ("read DIR/log.csv --from 10s --to 60s", ""),
    ("read DIR/log.csv --from soon", ""),
    ("read DIR/log.csv --from 60s --to 10s", ""),
    ("read DIR/two.csv --current clamp_A --reference clamp_A", ""),
    ("read DIR/log.csv --zero 10s", ""),
    ("read DIR/log.csv --zero 10s..12s", ""),
    (
        "read DIR/log.csv --zero 10s..40s --instrument clamp-low",
        "",
    ),
    ("read DIR/log.csv --instrument 2%+5@1mA", ""),
    ("read DIR/log.csv --instrument 2%+5@1mA --how clamp", ""),
    ("read DIR/log.csv --instrument dmm-mV", ""),
    ("read DIR/log.csv --instrument dmm-10A --how clamp", ""),
    ("read DIR/log.csv --instrument nothing --how clamp", ""),
    ("read DIR/log.csv --pulled 300s~F12 --put-back 500s", ""),
    ("read DIR/log.csv --pulled 300s", ""),
    ("read DIR/log.csv --pulled 100h~F12", ""),
    ("read DIR/log.csv --from 100h", ""),
    ("read - --reference shunt_A", "0,1\n"),
    ("read DIR/two.csv --current clamp_A --reference shunt_A", ""),
    ("read DIR/rows.csv", ""),
    // Listening.
    ("listen -", "0,0.4\n1,0.4\nwhat is this\n2,0.4\n"),
    (
        "listen - --unit A --interval 1s",
        "0.4\n0.4\nno\nno\n0.4\nno\nno\n0.4\n",
    ),
    ("listen DIR/log.csv --save DIR/kept.csv", ""),
    ("listen DIR/log.csv --save DIR/kept.csv", ""),
    ("listen DIR", ""),
    ("listen DIR/nowhere.csv", ""),
    ("listen -", ""),
    ("listen demo/night.csv --json", ""),
    ("listen --virtual-van 10000", ""),
    ("listen --virtual-van 0", ""),
    // Jobs.
    ("job list --data DIR/data", ""),
    (
        "job new Kombi --capacity 60Ah --cranking 540A --age 4 --trips 5 --trip 20min --no-start-after 14h --temperature 3C --fuses DIR/fuses.txt --data DIR/data",
        "",
    ),
    ("job new Kombi --trips 5 --data DIR/data", ""),
    ("job new Kombi --capacity 6000Ah --data DIR/data", ""),
    ("job new Kombi --fuses - --data DIR/data", "F1 10A Radio\n"),
    ("job new Kombi --fuses DIR/nowhere.txt --data DIR/data", ""),
    ("job new Kombi --fuses - --data DIR/data", "a b c\n"),
    ("job import demo/bread-van.toml --data DIR/data", ""),
    ("job import DIR/broken.toml --data DIR/data", ""),
    ("job list --data DIR/data", ""),
    ("job show 1 --data DIR/data", ""),
    ("job show 9 --data DIR/data", ""),
    (
        "job add 1 draw node=battery how=clamp value=412mA asleep=true --at 2026-03-02T20:01:00Z --data DIR/data",
        "",
    ),
    (
        "job add 1 draw node=F12 how=clamp value=412 --at 2026-03-02T20:02:00Z --data DIR/data",
        "",
    ),
    (
        "job add 1 draw node=battery --at 2026-03-02T20:03:00Z --data DIR/data",
        "",
    ),
    (
        "job add 1 draw battery --at 2026-03-02T20:04:00Z --data DIR/data",
        "",
    ),
    (
        "job add 1 dance --at 2026-03-02T20:05:00Z --data DIR/data",
        "",
    ),
    (
        "job add 1 rest-voltage value=12.31V rested=8h temperature=10C --at 2026-03-02T20:06:00Z --data DIR/data",
        "",
    ),
    (
        "job add 1 pull node=F12 before=412mA after=24mA --at 2026-03-02T20:07:00Z --data DIR/data",
        "",
    ),
    (
        "job add 1 trace file=DIR/log.csv node=battery --at 2026-03-02T20:08:00Z --data DIR/data",
        "",
    ),
    (
        "job add 1 trace file=DIR/nowhere.csv node=battery --at 2026-03-02T20:09:00Z --data DIR/data",
        "",
    ),
    ("job show 1 --data DIR/data", ""),
    ("job strike 1 1 --data DIR/data", ""),
    ("job strike 1 0 --data DIR/data", ""),
    ("job strike 1 77 --data DIR/data", ""),
    ("job show 1 --data DIR/data", ""),
    ("job fuses 1 DIR/more.csv --data DIR/data", ""),
    ("job copy 1 --data DIR/data", ""),
    ("job copy 9 --data DIR/data", ""),
    ("job export 1 -o DIR/job.toml --data DIR/data", ""),
    ("job export 1 -o DIR/nowhere/job.toml --data DIR/data", ""),
    ("assess 1 --data DIR/data", ""),
    ("assess DIR/job.toml", ""),
    ("assess demo/bread-van.toml", ""),
    ("listen DIR/log.csv --job 1 --data DIR/data", ""),
    ("listen DIR/log.csv --job 1 --node F99 --data DIR/data", ""),
    ("listen DIR/log.csv --job 9 --data DIR/data", ""),
    (
        "report 1 --data DIR/data -o DIR/report.html --pdf DIR/report.pdf",
        "",
    ),
    ("report 9 --data DIR/data", ""),
    ("report demo/bread-van.toml -o DIR", ""),
    ("report 1 --data DIR/data -o DIR/nowhere/report.html", ""),
    // What finished jobs taught.
    ("history --data DIR/data", ""),
    (
        "job import crates/store/tests/data/finished.toml --data DIR/data",
        "",
    ),
    ("history --data DIR/data", ""),
    ("assess 1 --data DIR/data", ""),
    ("history off --data DIR/data", ""),
    ("history on --data DIR/data", ""),
    ("history forget --all --data DIR/data", ""),
    ("history forget 99 --data DIR/data", ""),
    ("history export -o DIR/history.json --data DIR/data", ""),
    (
        "history export -o DIR/nowhere/history.json --data DIR/data",
        "",
    ),
    // Standing.
    (
        "park --capacity 60Ah --draw 420mA --charge 85% --temperature 5C --cranking 540A",
        "",
    ),
    (
        "park --capacity 60Ah --draw 0A --charge 30% --temperature -25C --nights -25C,-30C",
        "",
    ),
    (
        "park --capacity 90Ah --draw 20mA --engine-needs 1A --chemistry lifepo4",
        "",
    ),
    ("park --draw 20mA", ""),
    (
        "park --capacity 400Ah --draw 0A --chemistry lifepo4 --temperature -20C --engine-needs 1A",
        "",
    ),
    ("park --capacity 60Ah --draw 20mA --charge 120%", ""),
    (
        "park --capacity 60Ah --draw 20mA --nights 1C,1C,1C,1C,1C,1C,1C,1C,1C,1C,1C,1C,1C,1C,1C,1C,1C,1C,1C,1C,1C,1C,1C,1C,1C,1C,1C,1C,1C,1C,1C,1C,1C",
        "",
    ),
    (
        "balance --capacity 60Ah --draw 30mA --trips 10 --trip 30min --add 10mA",
        "",
    ),
    (
        "balance --capacity 60Ah --draw 180mA --trips 7 --trip 12min --loads 2Ah --add 2A",
        "",
    ),
    (
        "balance --capacity 60Ah --draw 60mA --trips 2 --trip 15min",
        "",
    ),
    (
        "balance --capacity 60Ah --draw 100mA --trips 8 --trip 15min",
        "",
    ),
    (
        "balance --capacity 60Ah --draw 500mA --trips 0 --trip 10min --add 1A",
        "",
    ),
    (
        "balance --capacity 60Ah --draw 30mA --trips 300 --trip 60min",
        "",
    ),
    (
        "balance --capacity 60Ah --draw 300A --trips 3 --trip 60min",
        "",
    ),
    ("balance --draw 30mA --trips 3 --trip 60min", ""),
    // Hooking up.
    ("hookup --how clamp --keeper dry-9v", ""),
    ("hookup --how clamp --keeper car-battery", ""),
    ("hookup --how clamp --keeper dry-9v --draw 4A", ""),
    ("hookup --how clamp --keeper hope", ""),
    ("hookup --how clamp --airbag-work", ""),
    ("hookup --how clamp --airbag-work --keeper dry-9v", ""),
    (
        "hookup --how in-line --instrument dmm-400mA --draw 600mA --wake-up 12A --meter-fuse 500mA --melting 1.3",
        "",
    ),
    ("hookup --how in-line --meter-fuse 10A --wake-up 30A", ""),
    ("hookup --how millivolt --fuse 15A", ""),
    ("hookup --how millivolt", ""),
    ("hookup --how shunt --shunt 1mohm", ""),
    ("hookup --how shunt", ""),
    ("hookup --how clamp --instrument dmm-10A", ""),
    ("hookup --how clamp --draw 9000A", ""),
    // Rehearsing.
    (
        "rehearse --seed 105 --vehicle small --reach all --save DIR/half.toml",
        "help\nlist\nclock\nadvice\n1\n999\nclamp\nmv nowhere\nmv\npull F1\nout F2\nback all\nwait 5\nwait forever\nunplug\nshake\nsleep\nquit\n",
    ),
    (
        "rehearse --resume DIR/half.toml",
        "clock\nrepair F1\n1\nclock\ndone\n",
    ),
    (
        "rehearse --seed 105 --vehicle small --settings-may-be-lost",
        "in-line\n",
    ),
    ("rehearse --seed 105 --vehicle small --reach all", PLANNER),
    ("rehearse --seed 105 --vehicle small --reach all", LONGER),
    (
        "rehearse --seed 105 --vehicle small --reach all --settings-may-be-lost",
        "out F1 F2 F3 F4 F5 F6 F7 F8 F9\nclock\nout F11 F12 F13 F14 F15 F16 F17\nclock\ndone\n",
    ),
    (
        "rehearse --seed 1 --level full",
        "out F1 F2 F3 F4\nback all\nclock\nquit\n",
    ),
    ("rehearse --resume DIR/job.toml", ""),
    ("rehearse --resume DIR/nowhere.toml", ""),
    ("rehearse --vehicle submarine", ""),
    ("rehearse --json --trace -", ""),
    ("rehearse --seed 105 --trace DIR/nowhere/trace.csv", ""),
    // Opening the page.
    ("open --no-browser --port BUSY --data DIR/data", ""),
    ("open --no-browser --data DIR/file", ""),
    // A command line that cannot be understood.
    ("dance", ""),
    ("raed DIR/log.csv", ""),
    ("park --capacity 60", ""),
    ("park --capacity 60Ah --draw", ""),
    ("park --capacity 60Ah", ""),
    ("park --capacity 60Ah --draw 20mA --health good", ""),
    ("park --capacity 60Ah --draw 20mA --chemistry wet", ""),
    ("park --capacity 60Ah --draw 20mA --daw 3mA", ""),
    ("park --capacity 60Ah --draw 20mA --draw 30mA", ""),
    ("park --capacity 60Ah --draw 20mA --standard xy", ""),
    ("hookup --how sideways", ""),
    ("hookup --how millivolt --fuse 15A --fuse-family round", ""),
    ("hookup --how clamp --cables 99", ""),
    ("rehearse --level cruel", ""),
    ("rehearse --seed 1 --resume DIR/half.toml", ""),
    ("listen --virtual-van fast", ""),
];

/// Stands for the planner's tests on the same vehicle, and for those and one more.
const PLANNER: &str = "planner";
const LONGER: &str = "planner, longer";

/// Commands that can answer programs.
const JSON: &[&str] = &[
    "read", "listen", "assess", "park", "balance", "hookup", "job", "history", "rehearse",
];

/// What one command said.
pub struct Said {
    typed: Vec<String>,
    pub answer: Answer,
}

impl Said {
    /// As it was typed.
    pub fn line(&self) -> String {
        format!("nightdraw {}", self.typed.join(" "))
    }

    /// Everything that a person sees of it; where a program is answered that is beside it.
    pub fn shown(&self) -> String {
        let for_programs = self.typed.iter().any(|part| part == "--json");
        let out = if for_programs { "" } else { &self.answer.out };
        format!("{out}\n{}", self.answer.err)
    }

    /// Whether this word was in what was typed, and so is nobody's but the person's.
    pub fn typed(&self, word: &str) -> bool {
        let typed = self.line().to_lowercase();
        typed.split(|c: char| !c.is_alphabetic()).any(|w| w == word)
    }
}

/// Runs them all in one language; as programs would where `json`.
pub fn walk(lang: &str, json: bool) -> Vec<Said> {
    let folder = tempfile::tempdir().unwrap();
    files(&folder);
    let busy = TcpListener::bind("127.0.0.1:0").unwrap();
    let port = busy.local_addr().unwrap().port().to_string();
    let dir = folder.path().display().to_string();
    let mut walk = Vec::new();
    for (line, input) in COMMANDS {
        let mut typed: Vec<String> = line
            .split(' ')
            .map(|part| {
                // Who speaks German keeps the demo that is written in German.
                let part = match (lang, json) {
                    ("de", false) => part.replace("bread-van", "brotwagen"),
                    _ => part.to_owned(),
                };
                part.replace('~', " ")
                    .replace("DIR", &dir)
                    .replace("BUSY", &port)
            })
            .collect();
        if json && JSON.iter().any(|command| typed[0] == *command) && !line.contains("--json") {
            typed.push("--json".into());
        }
        let arguments: Vec<&str> = typed.iter().map(String::as_str).collect();
        let arguments = [&arguments[..], &["--lang", lang]].concat();
        let mut command = command(&arguments);
        command.current_dir(root());
        let input = match *input {
            PLANNER => planned(&typed) + "done\n",
            LONGER => planned(&typed) + "clamp\ndone\n",
            input => input.to_owned(),
        };
        let mut answer = crate::common::run_command(command, input.as_bytes());
        let hide = |text: &str| {
            let text = text.replace(&dir, "DIR");
            // Elsewhere the same digits are part of some figure.
            let with_port = line.contains("BUSY");
            times_hidden(&if with_port {
                text.replace(&port, "BUSY")
            } else {
                text
            })
        };
        (answer.out, answer.err) = (hide(&answer.out), hide(&answer.err));
        let typed = typed.iter().map(|part| hide(part)).collect();
        walk.push(Said { typed, answer });
    }
    walk
}

/// The planner's tests on this vehicle, one a line.
fn planned(typed: &[String]) -> String {
    let typed = typed
        .iter()
        .map(String::as_str)
        .filter(|part| *part != "--json");
    let arguments: Vec<&str> = typed.chain(["--json"]).collect();
    let score = crate::common::run_with_input(&arguments, b"done\n")
        .ok()
        .json();
    let steps = score["planner"]["steps"].as_array().unwrap().iter();
    steps
        .map(|step| format!("{}\n", step["test"].as_str().unwrap()))
        .collect()
}

/// The moment at which something was entered is another one each time.
fn times_hidden(text: &str) -> String {
    let stamp = |c: char| c.is_ascii_digit() || "TZ:.-".contains(c);
    let mut out = String::new();
    let mut rest = text;
    while let Some(at) = rest.find(|c: char| c.is_ascii_digit()) {
        let (before, from) = rest.split_at(at);
        let length = from.find(|c| !stamp(c)).unwrap_or(from.len());
        let (run, after) = from.split_at(length);
        let is_time = run.len() >= 20 && run.contains('T') && run.ends_with('Z');
        out += before;
        out += if is_time { "TIME" } else { run };
        rest = after;
    }
    out + rest
}

fn files(folder: &TempDir) {
    let put = |name: &str, content: &[u8]| fs::write(folder.path().join(name), content).unwrap();
    put("file", b"");
    put("binary.toml", b"\xff\xfe\x00");
    put("broken.toml", b"format = 1\n[vehicle\n");
    put(
        "wrong.toml",
        b"format = 1\n[[node]]\nid = \"a\"\nfrom = \"mian\"\nkind = \"cable\"\n",
    );
    let long = fs::File::create(folder.path().join("long.toml")).unwrap();
    long.set_len(300 << 20).unwrap();
    // Awake, then asleep at 23 mA with a meter's noise.
    let mut log = String::from("time_s,current_mA\n");
    for second in 0..900 {
        let level = if second < 200 { 4100 } else { 23 };
        log += &format!("{second},{}\n", level + (second * 7) % 3);
    }
    put("log.csv", log.as_bytes());
    put("rows.csv", log.replace("\n450,", "\noops,").as_bytes());
    put(
        "two.csv",
        b"time_s,clamp_A,shunt_A\n0,1,1\n1,1,1\n2,1,1\n3,1,1\n",
    );
    put(
        "fuses.txt",
        "F1 15A Licht\nF1 10A Radio\n20A Sitz\nF7 9999A Hupe\nwas ist das\nF12 15A Radio\n"
            .as_bytes(),
    );
    put(
        "more.csv",
        b"name,rating,circuit,keeps-settings\nF12,15A,Radio,vielleicht\nF20,10A,Lampe,no\n",
    );
}
