//! `register-test`: two pages that show by how much a printer misses on the second side.

use super::answer::{Answer, Complaint};
use super::args::RegisterTestArguments;
use super::options;
use crate::press::files::Staged;
use crate::press::{self, Base, PressOptions};
use crate::sheets::card_code::CardCode;
use crate::sheets::cards::CardOptions;
use crate::sheets::{SheetOptions, register_test};

/// Writes the test.
#[must_use]
pub fn run(arguments: &RegisterTestArguments) -> Answer {
    make(arguments).unwrap_or_else(Answer::from)
}

fn make(arguments: &RegisterTestArguments) -> Result<Answer, Complaint> {
    let printer = &arguments.printer;
    let card = CardOptions {
        duplex: printer.duplex.into(),
        offset: (printer.offset.x, printer.offset.y),
        ..CardOptions::default()
    };
    let text = |offset: f64| format!("{offset}");
    let words = options::words(&arguments.language)?;
    let [version, looks, said] = &options::made_with(Base::embedded().map_err(Complaint::new)?, &arguments.language);
    let offset = [text(card.offset.0), text(card.offset.1)];
    let made_with = [version, looks, said, "register-test", card.duplex.name(), &offset[0], &offset[1]];
    let code = CardCode::of(&serde_json::Value::Null, 0, &made_with);
    let options = SheetOptions {
        paper: arguments.paper.into(),
        words,
        north_american: false,
        card_code: code.to_string(),
        shop: None,
        card,
    };
    let sheet = register_test::compose(&options);
    let words = options::words_text(&arguments.language);
    let document =
        press::typeset(&sheet, &PressOptions { words, ..PressOptions::default() }).map_err(Complaint::new)?;
    let path = arguments.out.join(format!("{}.pdf", sheet.file_stem));
    let mut staged = Staged::new();
    staged.add(&path, &document.pdf).map_err(Complaint::new)?;
    staged.commit().map_err(Complaint::new)?;
    Ok(Answer::output(format!("{}\n", path.display())))
}
