//! Against worked examples in the manner of the W3C specification (from memory), and files that a
//! general WebVTT validator judges too (`tests/browser/captions.test.mjs`).

use super::*;

fn clean(text: &str) -> Captions {
    let (captions, faults) = read(text);
    assert_eq!(faults, []);
    captions
}

fn said(cue: &Cue) -> Vec<(Option<&str>, &str)> {
    cue.said
        .iter()
        .map(|run| (run.speaker.as_deref(), run.text.as_str()))
        .collect()
}

#[test]
fn voices_times_and_settings() {
    let text = "WEBVTT - two people talk\r\n\r\nNOTE\r\nNot shown.\r\n\r\n1 - first\r\n00:11.000 --> 00:13.000 align:start position:10%,line-left size:35%\r\n<v Elin Fychan>We are in the store.\r\n\r\n01:00:16.500 --> 01:00:20.000 line:0 vertical:rl\r\n<v.loud Gwil Parry>It is <i>dark</i></v> <v Elin Fychan>and cold</v>\r\n";
    let captions = clean(text);
    let times: Vec<_> = captions
        .cues
        .iter()
        .map(|c| (c.start_ms, c.end_ms))
        .collect();
    assert_eq!(times, [(11_000, 13_000), (3_616_500, 3_620_000)]);
    assert_eq!(
        said(&captions.cues[0]),
        [(Some("Elin Fychan"), "We are in the store.")]
    );
    assert_eq!(
        said(&captions.cues[1]),
        [
            (Some("Gwil Parry"), "It is dark"),
            (None, " "),
            (Some("Elin Fychan"), "and cold")
        ]
    );
}

#[test]
fn signs_by_name_languages_small_times_and_ruby() {
    let text = "\u{feff}WEBVTT\n\n00:00.000 --> 00:05.000\nPowder &amp; heat: 3 &lt; 4 &gt; 2&nbsp;mm &#233;\n<00:02.000><lang la>Fusor</lang> <ruby>me<rt>mee</rt></ruby>\n";
    let captions = clean(text);
    assert_eq!(
        captions.cues[0].text(),
        "Powder & heat: 3 < 4 > 2\u{a0}mm \u{e9}\nFusor me (mee)"
    );
    let latin = captions.cues[0].said.iter().find(|run| run.lang.is_some());
    assert_eq!(latin.map(|run| run.text.as_str()), Some("Fusor"));
}

#[test]
fn styles_and_regions_stand_above() {
    let head = "WEBVTT\n\nSTYLE\n::cue(i) { color: yellow }\n\nREGION\nid:foot\nwidth:40%\n\n";
    clean(&format!(
        "{head}00:00.000 --> 00:01.000 region:foot\nHere\n"
    ));
    let (_, faults) =
        read("WEBVTT\n\n00:00.000 --> 00:01.000\nHere\n\nSTYLE\n::cue { color: red }\n");
    assert_eq!(faults.len(), 1, "{faults:?}");
}

#[test]
fn a_transcript_names_who_speaks_when_the_voice_changes() {
    let captions = clean(
        "WEBVTT\n\n00:00.000 --> 00:02.000\n<v Elin>Why is it\ndark?\n\n00:02.200 --> 00:04.000\n<v Gwil>Bare metal\n\n00:04.100 --> 00:05.000\n<v Gwil>comes off.\n\n00:09.000 --> 00:11.000\n<v Gwil>So I lacquered it.\n",
    );
    let told: Vec<(Option<String>, String)> = turns(&captions)
        .into_iter()
        .map(|t| {
            (
                t.speaker,
                t.said.into_iter().map(|(_, text)| text).collect(),
            )
        })
        .collect();
    let wanted = [
        (Some("Elin"), "Why is it dark?"),
        (Some("Gwil"), "Bare metal comes off."),
        // A long pause begins a paragraph; the voice is the same.
        (None, "So I lacquered it."),
    ];
    let wanted: Vec<_> = wanted
        .map(|(who, what)| (who.map(str::to_owned), what.to_owned()))
        .into();
    assert_eq!(told, wanted);
}

#[test]
fn reading_speed_at_the_edge_and_just_beyond() {
    // Twenty characters a second (common practice, no source).
    let of = |count: usize| {
        let text = format!("WEBVTT\n\n00:00.000 --> 00:02.000\n{}\n", "a".repeat(count));
        judge(&clean(&text), Some(2000))
    };
    assert_eq!(of(40), []);
    assert_eq!(of(41).len(), 1);
}

#[test]
fn good_files_are_good_and_bad_ones_are_not() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/captions");
    let mut seen = [0, 0];
    for (good, name) in [(true, "good"), (false, "bad")] {
        for entry in std::fs::read_dir(format!("{folder}/{name}")).expect("the folder is there") {
            let path = entry.expect("an entry").path();
            let text = std::fs::read_to_string(&path).expect("a text");
            let (_, faults) = read(&text);
            assert_eq!(faults.is_empty(), good, "{}: {faults:?}", path.display());
            seen[usize::from(good)] += 1;
        }
    }
    assert!(seen[0] >= 20 && seen[1] >= 8, "{seen:?}");
}

/// Numbers that look drawn by lot and are the same each time (xorshift, Marsaglia 2003).
struct Dice(u64);

impl Dice {
    fn below(&mut self, bound: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % bound.max(1) as u64).expect("below a usize")
    }
}

#[test]
fn a_file_mangled_at_random_is_read_without_panic_and_faults_lie_within_it() {
    const BITS: [&str; 16] = [
        "-->",
        "<v ",
        "</v>",
        "<",
        ">",
        "&",
        ";",
        "\n\n",
        "\r",
        "00:01.000",
        ":",
        ".",
        "NOTE",
        "é",
        "<rt>",
        "\u{feff}",
    ];
    let text = "WEBVTT\n\nNOTE é\n\n1\n00:01.000 --> 00:02.500 line:90% align:start\n<v Elin>Ŵyth &amp; <lang cy>naw</lang> <ruby>a<rt>b</rt></ruby>\n\n00:03.000 --> 99:59:59.999\n<i>deg</i> <00:03.500>un\n";
    let mut dice = Dice(0x5EED_CAFE);
    for _ in 0..20_000 {
        let mut letters: Vec<char> = text.chars().collect();
        for _ in 0..1 + dice.below(6) {
            let at = dice.below(letters.len());
            match dice.below(4) {
                0 => drop(letters.drain(at..(at + dice.below(9)).min(letters.len()))),
                1 => letters.truncate(at),
                2 => letters
                    .splice(at..at, BITS[dice.below(BITS.len())].chars())
                    .for_each(drop),
                _ => letters.splice(at..at, ['\u{1F40E}', '\0']).for_each(drop),
            }
        }
        let mangled: String = letters.into_iter().collect();
        let (captions, faults) = read(&mangled);
        for fault in faults.into_iter().chain(judge(&captions, Some(2000))) {
            assert!(
                mangled.get(fault.span.clone()).is_some(),
                "{fault:?} in {mangled:?}"
            );
        }
        for cue in &captions.cues {
            assert!(cue.end_ms > cue.start_ms);
        }
        turns(&captions);
    }
}
