//! Reads a page of Markdown as far as the reference pages need it: headings, tables, fenced blocks.

/// A stretch of a page under one heading.
pub(super) struct Part<'p> {
    /// The heading without its marks.
    pub(super) heading: &'p str,
    /// What stands below it, up to the next heading of the same depth or less.
    pub(super) text: &'p str,
}

/// The parts of a page under headings of a depth such as `##`. Lines in fenced blocks are no headings here, since none of
/// the examples has a comment.
pub(super) fn parts<'p>(page: &'p str, depth: &str) -> Vec<Part<'p>> {
    let mut parts = Vec::new();
    let mut open: Option<(&str, usize)> = None;
    let mut position = 0;
    for line in page.split_inclusive('\n') {
        let marks = line.len() - line.trim_start_matches('#').len();
        if marks > 0 && marks <= depth.len() {
            if let Some((heading, start)) = open.take() {
                parts.push(Part { heading, text: &page[start..position] });
            }
            if marks == depth.len() {
                open = Some((line[marks..].trim(), position + line.len()));
            }
        }
        position += line.len();
    }
    parts.extend(open.map(|(heading, start)| Part { heading, text: &page[start..] }));
    parts
}

/// The part with a heading.
pub(super) fn part<'p>(page: &'p str, depth: &str, heading: &str) -> &'p str {
    let found = parts(page, depth).into_iter().find(|part| part.heading == heading);
    found.unwrap_or_else(|| panic!("the page has no heading `{heading}`")).text
}

/// The tables of a text: the cells of each row, head first, without the line of dashes.
pub(super) fn tables(text: &str) -> Vec<Vec<Vec<String>>> {
    let mut tables: Vec<Vec<Vec<String>>> = Vec::new();
    let mut inside = false;
    for line in text.lines() {
        let Some(row) = line.strip_prefix('|').and_then(|row| row.strip_suffix('|')) else {
            inside = false;
            continue;
        };
        if !inside {
            tables.push(Vec::new());
            inside = true;
        }
        if !row.starts_with("---") {
            let cells = row.split(" | ").map(|cell| cell.trim().to_string()).collect();
            tables.last_mut().expect("a table").push(cells);
        }
    }
    tables
}

/// What stands between backticks.
pub(super) fn quoted(text: &str) -> Vec<String> {
    text.split('`').skip(1).step_by(2).map(str::to_string).collect()
}

/// The fenced blocks that begin with these words, without their fences.
pub(super) fn blocks(page: &str, opening: &str) -> Vec<String> {
    let opening = format!("```{opening}\n");
    page.match_indices(&opening)
        .map(|(start, _)| {
            let body = &page[start + opening.len()..];
            body[..body.find("```").expect("a fence is closed")].to_string()
        })
        .collect()
}
