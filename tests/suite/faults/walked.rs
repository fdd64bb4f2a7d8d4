//! No printed order leads to a wrong part.

use std::path::Path;

use benchleaf::machine;

use super::walk::walks;

fn walk(path: &str, draws: usize, step: usize) {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    let machine = machine::open(&file).unwrap_or_else(|refused| panic!("{:?}", refused.report)).machine;
    let walks = walks(&machine, draws, step, 1);
    assert!(walks.count() > 0);
    let shown: Vec<&String> = walks.wrong.iter().take(40).collect();
    assert!(walks.wrong.is_empty(), "{path}: {} of {} wrong: {shown:#?}", walks.wrong.len(), walks.count());
}

#[test]
fn the_lesson_boards_orders_find_the_true_place() {
    walk("specs/lesson-board-12.toml", 10, 1);
}

#[test]
fn the_boards_with_a_bell_orders_find_the_true_place() {
    walk("specs/lesson-board-12-bell.toml", 10, 1);
}

#[test]
fn the_ladders_orders_find_the_true_place() {
    walk("tests/worksheets/ladder.toml", 10, 1);
}

#[test]
fn gull_gallerys_orders_find_the_true_place() {
    walk("specs/gull-gallery.toml", 4, 5);
}

#[test]
fn old_barnabas_orders_find_the_true_place() {
    walk("specs/old-barnabas.toml", 4, 3);
}

#[test]
fn terns_orders_find_the_true_place() {
    walk("specs/tern-48.toml", 4, 11);
}
