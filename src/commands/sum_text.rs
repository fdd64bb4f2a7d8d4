//! A bench sum for the terminal and for programs.

use serde_json::{Value, json};

use crate::fact;
use crate::sums::{Amount, Sum};
use crate::words::Words;

/// The sum as text: answer on top, working below.
#[must_use]
pub fn text(sum: &Sum, words: &Words) -> String {
    let mut lines = vec![words.say(&sum.title), String::new()];
    lines.extend(amounts(&sum.results, words));
    if let Some(judgement) = &sum.judgement {
        let verdict = words.get(&format!("sum.{}", judgement.verdict.name()));
        lines.extend([String::new(), words.fill("sum.verdict", &[("verdict", &verdict)])]);
        lines.extend(judgement.reasons.iter().map(|reason| format!("  {}", words.say(&reason.what))));
    }
    if !sum.given.is_empty() {
        lines.extend([String::new(), words.get("sum.given")]);
        lines.extend(amounts(&sum.given, words));
    }
    if !sum.steps.is_empty() {
        lines.extend([String::new(), words.get("sum.working")]);
        lines.extend(sum.steps.iter().map(|step| {
            let (formula, numbers) = (words.say_value(&step.formula), words.say_value(&step.numbers));
            let result = words.say_value(&step.result.text);
            format!("  {}: {formula} = {numbers} = {result}", words.say(&step.result.label))
        }));
    }
    for caution in &sum.cautions {
        lines.extend([String::new(), words.say(&fact!("sum.mind", caution = caution.clone()))]);
    }
    lines.extend([String::new(), words.say(&fact!("sum.source-line", source = sum.source.clone()))]);
    lines.join("\n") + "\n"
}

/// Names and quantities in two columns.
fn amounts<'a>(amounts: &'a [Amount], words: &'a Words) -> impl Iterator<Item = String> + 'a {
    let width = amounts.iter().map(|amount| words.say(&amount.label).chars().count()).max().unwrap_or(0);
    amounts
        .iter()
        .map(move |amount| format!("  {:width$}  {}", words.say(&amount.label), words.say_value(&amount.text)))
}

/// The documented report: names for programs, texts for people.
#[must_use]
pub fn report(sum: &Sum, words: &Words) -> Value {
    let amounts = |list: &[Amount]| list.iter().map(|one| amount(one, words)).collect::<Vec<_>>();
    let steps = sum.steps.iter().map(|step| {
        json!({
            "formula": words.say_value(&step.formula),
            "numbers": words.say_value(&step.numbers),
            "result": amount(&step.result, words),
        })
    });
    let judgement = sum.judgement.as_ref().map(|judgement| {
        json!({
            "verdict": judgement.verdict.name(),
            "reasons": judgement.reasons.iter().map(|reason| words.say(&reason.what)).collect::<Vec<_>>(),
        })
    });
    json!({
        "name": sum.name,
        "title": words.say(&sum.title),
        "given": amounts(&sum.given),
        "results": amounts(&sum.results),
        "judgement": judgement,
        "steps": steps.collect::<Vec<_>>(),
        "source": words.say(&sum.source),
        "cautions": sum.cautions.iter().map(|caution| words.say(caution)).collect::<Vec<_>>(),
    })
}

fn amount(amount: &Amount, words: &Words) -> Value {
    json!({
        "name": amount.name,
        "label": words.say(&amount.label),
        "value": amount.value,
        "unit": amount.unit,
        "text": words.say_value(&amount.text),
    })
}
