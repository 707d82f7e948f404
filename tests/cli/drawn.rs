//! Papers made again from a saved plan: the same bytes, other units, and never from an unsound plan.

use crate::harness::Nest;
use crate::papers::{NAMES, folder};
use std::fs;

fn plan(name: &str) -> Vec<u8> {
    fs::read(folder().join(name).join("plan.json")).unwrap()
}

#[test]
fn drawing_a_plan_again_gives_the_same_papers() {
    let ran = Nest::new()
        .args("new demo")
        .any_stdout()
        .exit(0)
        .then()
        .args(
            "plan demo/parts.csv --stock demo/stock.csv --shop demo/shop.toml --spare 10% --seed 7 --effort \
             quick -o plan",
        )
        .any_stdout()
        .exit(0);
    let ran = ran.then().args("draw plan/plan.json -o again").stdout("The papers are in again.\n").exit(0);
    let mut todo = vec![String::new()];
    let mut compared = 0;
    while let Some(name) = todo.pop() {
        let (first, again) = (ran.path(&format!("plan{name}")), ran.path(&format!("again{name}")));
        assert_eq!(crate::harness::names(&first), crate::harness::names(&again));
        for file in crate::harness::names(&first) {
            if first.join(&file).is_dir() {
                todo.push(format!("{name}/{file}"));
            } else {
                assert_eq!(
                    fs::read(first.join(&file)).unwrap(),
                    fs::read(again.join(&file)).unwrap(),
                    "{file}"
                );
                compared += 1;
            }
        }
    }
    assert!(compared >= 6, "{compared} files");
}

#[test]
fn other_units_change_what_is_printed_and_nothing_else() {
    let ran = Nest::new()
        .file("plan.json", plan("inches"))
        .args("draw plan.json --units mm -o mm")
        .stdout("The papers are in mm.\n")
        .exit(0);
    assert!(ran.read("mm/offcuts.csv").contains("\"892.175 mm\""), "{}", ran.read("mm/offcuts.csv"));
    let ran = ran.then().file("inches.json", plan("inches")).args("draw inches.json -q -o inches").exit(0);
    let exact = |folder: &str| -> Vec<String> {
        let mut reader = csv::Reader::from_path(ran.path(&format!("{folder}/cuts.csv"))).unwrap();
        let column = reader.headers().unwrap().iter().position(|name| name == "setting_mm").unwrap();
        reader.records().map(|row| row.unwrap()[column].to_string()).collect()
    };
    assert_eq!(exact("mm"), exact("inches"));
    assert!(exact("mm").len() > 10);
    ran.then().args("check mm/plan.json").says("The plan is sound").exit(0);
}

#[test]
fn every_unit_and_style_draws() {
    for name in NAMES {
        for units in ["in", "ft", "mm", "cm", "m", "1/32 in", "0.001 in"] {
            Nest::new()
                .file("plan.json", plan(name))
                .args("draw plan.json -o out -q --units")
                .arg(units)
                .exit(0);
        }
    }
    Nest::new()
        .file("plan.json", plan("feet"))
        .args("draw plan.json -o out --units cubit")
        .complains("(--units)")
        .exit(2);
}

#[test]
fn an_unsound_plan_is_not_drawn() {
    let refused = folder().join("../refused/kerf-forgotten.json");
    let ran = Nest::new()
        .file("plan.json", fs::read(refused).unwrap())
        .args("draw plan.json -o out")
        .says("The plan is refused: ")
        .exit(1);
    assert_eq!(ran.names(), ["plan.json"]);
    let ran = Nest::new().file("plan.json", "{").args("draw plan.json -o out").any_stderr().exit(2);
    assert_eq!(ran.names(), ["plan.json"]);
}

#[test]
fn a_folder_is_not_drawn_over_without_being_told() {
    let ran = Nest::new().file("plan.json", plan("ripped")).args("draw plan.json -o out -q").exit(0);
    let ran = ran.then().args("draw plan.json -o out").any_stderr().exit(2);
    ran.then().args("draw plan.json -o out --force -q").exit(0);
}
