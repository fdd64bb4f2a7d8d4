//! Plain text tables for a terminal or a file.

/// How a column stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Flush left: words.
    Left,
    /// Flush right: numbers with equal decimals.
    Right,
}

/// A table with a head, two blanks between columns, no blanks at the ends of lines.
#[must_use]
pub fn render(head: &[(&str, Side)], rows: &[Vec<String>]) -> String {
    let widths: Vec<usize> = head
        .iter()
        .enumerate()
        .map(|(at, (name, _))| {
            rows.iter()
                .filter_map(|row| row.get(at))
                .map(|cell| cell.chars().count())
                .fold(name.chars().count(), usize::max)
        })
        .collect();
    let line = |cells: Vec<&str>| {
        let padded: Vec<String> = cells
            .iter()
            .zip(head)
            .zip(&widths)
            .map(|((cell, (_, side)), width)| {
                let blanks = " ".repeat(width - cell.chars().count());
                if *side == Side::Left { format!("{cell}{blanks}") } else { format!("{blanks}{cell}") }
            })
            .collect();
        format!("  {}\n", padded.join("  ").trim_end())
    };
    let mut text = line(head.iter().map(|(name, _)| *name).collect());
    for row in rows {
        text.push_str(&line(row.iter().map(String::as_str).collect()));
    }
    text
}

/// A report as indented JSON with a line end.
#[must_use]
pub fn json(report: &serde_json::Value) -> String {
    serde_json::to_string_pretty(report).map_or_else(|_| String::new(), |text| text + "\n")
}
