//! `verify-code`: whether a printed page is still current, from the code at its foot.
//!
//! The options of the print are not known, so all that there are get tried; there are few.

use serde_json::json;

use super::answer::{Answer, Ending};
use super::args::{Format, VerifyCodeArguments};
use super::build::Templates;
use super::options;
use super::profile::Profile;
use super::source::{self, Source};
use super::table;
use super::terminal::Terminal;
use crate::press::Base;
use crate::sheets::card_code::CardCode;
use crate::sheets::cards::{CardOptions, CardSize};
use crate::sheets::{Paper, SheetOptions};
use crate::words::Words;

/// What a code says.
enum Verdict {
    /// The page is what the description says now, printed with these options.
    Current(String),
    /// The page is of this revision, but something else has changed since, or another shop profile was in use.
    Changed,
    /// The page is of another revision: number, date and what changed after it, if the list of revisions tells.
    Stale(Option<(i64, String)>),
}

/// Compares a code with a description.
#[must_use]
pub fn run(arguments: &VerifyCodeArguments, terminal: Terminal) -> Answer {
    let code = match CardCode::read(&arguments.code) {
        Ok(code) => code,
        Err(mistyped) => return answer(arguments, "mistyped", &format!("mistyped: {mistyped}"), Ending::Unusable),
    };
    let source = match source::open(&arguments.spec, terminal) {
        Ok(source) => source,
        Err(answer) => return *answer,
    };
    let templates = Templates::of(arguments.templates.as_deref());
    let found = templates.and_then(|templates| {
        let profile = Profile::find(arguments.shop.as_deref(), &arguments.spec, templates.base())?;
        Ok(verdict(code, &source, &profile, templates.base()))
    });
    let verdict = match found {
        Ok(verdict) => verdict,
        Err(complaint) => return complaint.into(),
    };
    match verdict {
        Verdict::Current(options) => {
            answer(arguments, "current", &format!("current: printed for {options}"), Ending::Fine)
        }
        Verdict::Changed => {
            let revision = source.opened.machine.identity.revision;
            let words = format!(
                "stale: revision {revision} as well, but the description, the shop profile or the program has changed since"
            );
            answer(arguments, "stale", &words, Ending::Findings)
        }
        Verdict::Stale(Some((number, date))) => {
            let now = source.opened.machine.identity.revision;
            let words =
                format!("stale: printed from revision {number} of {date}; the description is at revision {now}");
            answer(arguments, "stale", &words, Ending::Findings)
        }
        Verdict::Stale(None) => {
            let words = "stale: printed from a revision that the description does not list, or from another machine";
            answer(arguments, "stale", words, Ending::Findings)
        }
    }
}

fn answer(arguments: &VerifyCodeArguments, state: &str, words: &str, ending: Ending) -> Answer {
    let output = match arguments.format.format {
        Format::Text => format!("{words}\n"),
        Format::Json => table::json(&json!({ "code": arguments.code, "state": state, "message": words })),
    };
    Answer { output, ending, ..Answer::default() }
}

fn verdict(code: CardCode, source: &Source, profile: &Profile, base: &Base) -> Verdict {
    let identity = &source.opened.machine.identity;
    let without = Profile::default();
    for profile in [profile, &without] {
        for (options, name) in all_options() {
            if options::card_code(&source.opened.document, identity.revision, &options, profile, base) == code {
                return Verdict::Current(name);
            }
        }
    }
    if code.may_be_revision(identity.revision) {
        return Verdict::Changed;
    }
    let listed = identity.revisions.iter().find(|(number, _, _)| code.may_be_revision(*number));
    Verdict::Stale(listed.map(|(number, date, _)| (*number, date.clone())))
}

/// All options that change a code, with their names.
fn all_options() -> Vec<(SheetOptions, String)> {
    let mut all = Vec::new();
    for (language, _) in crate::assets::languages() {
        let Some(words) = Words::of(language) else { continue };
        for (paper, paper_name) in [(Paper::A4, "a4"), (Paper::Letter, "letter")] {
            for size in CardSize::BENCH {
                for north_american in [false, true] {
                    let options = SheetOptions {
                        paper,
                        words: words.clone(),
                        north_american,
                        card_code: String::new(),
                        shop: None,
                        card: CardOptions { size: Some(size), ..CardOptions::default() },
                    };
                    let symbols = if north_american { "North American" } else { "IEC" };
                    all.push((
                        options,
                        format!("paper {paper_name}, card {}, {symbols} symbols, language {language}", size.name()),
                    ));
                }
            }
        }
    }
    all
}
