//! The README keeps its word: its description opens, its commands run, its output is what the program prints.

use std::process::Command;

const README: &str = include_str!("../../README.md");

/// The fenced blocks of a language, without their fences.
fn blocks(language: &str) -> Vec<String> {
    let opening = format!("```{language}\n");
    README
        .match_indices(&opening)
        .map(|(start, _)| {
            let body = &README[start + opening.len()..];
            body[..body.find("```").expect("a fence is closed")].to_string()
        })
        .collect()
}

/// A folder that holds the README's description under the name that its commands use.
fn folder_with_description() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let descriptions = blocks("toml");
    assert_eq!(descriptions.len(), 1, "the README shows one description");
    std::fs::write(folder.path().join("bell-box.toml"), &descriptions[0]).expect("the description is written");
    folder
}

fn run(folder: &std::path::Path, arguments: &[&str]) -> std::process::Output {
    Command::new(env!("CARGO_BIN_EXE_benchleaf"))
        .args(arguments)
        .current_dir(folder)
        .output()
        .expect("the program starts")
}

/// The console block as commands, each with the output that it promises.
fn sessions() -> Vec<(Vec<String>, String)> {
    let mut sessions: Vec<(Vec<String>, String)> = Vec::new();
    for line in blocks("console").concat().lines() {
        if let Some(command) = line.strip_prefix("$ benchleaf ") {
            sessions.push((command.split_whitespace().map(str::to_string).collect(), String::new()));
        } else {
            let (_, output) = sessions.last_mut().expect("a console block begins with a command");
            output.push_str(line);
            output.push('\n');
        }
    }
    sessions
}

#[test]
fn commands_print_what_the_readme_shows() {
    let folder = folder_with_description();
    let sessions = sessions();
    assert!(sessions.len() >= 2, "the README shows how to solve and to build");
    for (arguments, promised) in sessions {
        let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
        let output = run(folder.path(), &arguments);
        let errors = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "{arguments:?} fails: {errors}");
        if !promised.is_empty() {
            assert_eq!(String::from_utf8_lossy(&output.stdout), promised, "{arguments:?}");
        }
    }
    assert!(folder.path().join("out/bell-box-pack.pdf").is_file(), "the pack is written");
}

#[test]
fn the_json_of_the_readme_is_a_part_of_what_solve_gives() {
    let folder = folder_with_description();
    let output = run(folder.path(), &["solve", "bell-box.toml", "--format", "json"]);
    let given: serde_json::Value = serde_json::from_slice(&output.stdout).expect("solve gives JSON");
    let shown: serde_json::Value = serde_json::from_str(&blocks("json")[0]).expect("the README shows JSON");
    assert_eq!(given["machine"], shown["machine"]);
    let (given, shown) = (&given["sequences"][0], &shown["sequences"][0]);
    for list in ["readings", "devices"] {
        for entry in shown[list].as_array().expect("a list") {
            let all = given[list].as_array().expect("a list");
            let holds = |candidate: &serde_json::Value| {
                entry.as_object().expect("an object").iter().all(|(key, value)| &candidate[key] == value)
            };
            assert!(all.iter().any(holds), "{list} lacks {entry}");
        }
    }
}

#[test]
fn every_command_of_the_readme_exists() {
    let table = README.split("## Commands").nth(1).expect("a section on commands");
    let table = table.split("\n## ").next().expect("its end");
    let names = table.lines().filter_map(|line| line.strip_prefix("| `")).flat_map(|line| {
        let cell = line.split(" | ").next().unwrap_or_default();
        cell.split(", ").map(|one| one.trim_matches('`').split([' ', '`']).next().unwrap_or_default().to_string())
    });
    let mut seen = 0;
    for name in names {
        let output = run(std::path::Path::new("."), &[&name, "--help"]);
        assert!(output.status.success(), "`benchleaf {name} --help` fails");
        seen += 1;
    }
    assert!(seen >= 10, "only {seen} commands found in the table");
}

#[test]
fn every_description_that_the_readme_names_is_there() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let named: Vec<&str> = README.split('`').filter(|word| word.starts_with("specs/")).collect();
    assert!(named.len() >= 4);
    for path in named {
        assert!(root.join(path).is_file(), "{path} is missing");
    }
    assert!(root.join("docs/signal-path-sheet.png").is_file(), "the picture is missing");
}
