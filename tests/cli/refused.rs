//! `fixtures/refused` holds plans that must be refused, as files that any other judge of plans can read as well.
//!
//! They are written from the table of tamperings, so they cannot fall behind it; `faults.txt` names what is wrong
//! with each. To write them anew: `NEST_BLESS=1`, which then fails, so that nothing blesses by accident.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::PathBuf;

use nest_cli::input::json::read_plan;
use nest_cli::output::json::render;
use nest_cli::plan_file::{FORMAT, GroupFile, LayoutFile, PlanFile, UnplacedFile, VERSION, amount};
use nest_core::check::{Fault, check};
use nest_core::model::{Batch, Measure, Part, Stock};
use nest_core::plan::Plan;
use nest_core::rest::{Before, Made, Untruths};
use nest_core::solution::Status;
use nest_core::units::Length;

use crate::tamperings::{batch, plan, tamperings};

/// What only a program can hand over: the reader refuses such numbers and such depth before anything is judged.
const UNREADABLE: [&str; 5] = [
    "sizes whose sum wraps around",
    "width of a listed piece changed",
    "tree without an end",
    "floor below nothing",
    "floor below nothing without certificate",
];

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../fixtures/refused")
}

fn file(batch: &Batch, plan: &Plan, before: &Before) -> Vec<u8> {
    let money = |cost| amount(Measure::Money, cost);
    let floor = plan.groups.iter().map(|group| group.floor).fold(0, i128::saturating_add);
    let costs = ["13.00", "40.00"];
    let groups = plan.groups.iter().enumerate().map(|(g, claim)| GroupFile {
        material: ["pine", "birch"].get(g).copied().unwrap_or_default().into(),
        kind: None,
        cost: costs.get(g).copied().unwrap_or("0").into(),
        cost_floor: money(claim.floor),
        status: Status::Feasible,
        impossible: false,
        work: 0,
        certificate: claim.certificate.as_ref().map(Cow::Borrowed),
    });
    render(&PlanFile {
        spare: 0,
        papers: Cow::default(),
        format: FORMAT.into(),
        version: VERSION,
        status: Status::Feasible,
        measure: Measure::Money,
        currency: "".into(),
        cost: "53.00".into(),
        cost_floor: money(floor),
        groups: groups.collect(),
        layouts: plan.layouts.iter().map(LayoutFile::of).collect(),
        buy: Some(vec![]),
        offcuts: Some(vec![]),
        unplaced: plan.unplaced.iter().map(|&(part, qty)| UnplacedFile { part, qty }).collect(),
        batch: Cow::Borrowed(batch),
        before: Cow::Borrowed(before),
        warnings: Cow::default(),
        search: None,
    })
}

/// The files as they must be: name, bytes, names of the faults.
fn files() -> BTreeMap<String, (Vec<u8>, BTreeSet<String>)> {
    let mut files = BTreeMap::new();
    for tampering in tamperings() {
        let (mut batch, mut plan) = (batch(), plan());
        (tampering.apply)(&mut batch, &mut plan);
        let faults = match UNREADABLE.contains(&tampering.name) {
            true => BTreeSet::from(["Unreadable".to_owned()]),
            false => tampering.faults.iter().map(|&fault| fault.to_owned()).collect(),
        };
        let name = format!("{}.json", tampering.name.replace(' ', "-"));
        let bytes = file(&batch, &plan, &Before::default());
        assert!(files.insert(name, (bytes, faults)).is_none(), "{} twice", tampering.name);
    }
    for (name, fault, tamper) in ACCOUNTS {
        let (batch, plan) = (batch(), plan());
        let mut before = account(&batch);
        tamper(&mut before);
        let faults = BTreeSet::from([format!("Before/{fault}")]);
        assert!(files.insert(format!("{name}.json"), (file(&batch, &plan, &before), faults)).is_none());
    }
    files
}

/// Name, fault, and what makes of an account one that cannot be true.
type Account = (&'static str, &'static str, fn(&mut Before));

const ACCOUNTS: [Account; 5] = [
    ("made-piece-a-metre-longer", "OtherSize", |before| before.made[0].piece.length += Length::mm(1000)),
    ("made-piece-shorter", "OtherSize", |before| before.made[0].piece.length = Length::mm(799)),
    ("made-piece-as-another-part", "NotAsked", |before| before.made[0].part.name.push('x')),
    ("made-piece-and-part-longer", "NotAsked", |before| {
        let Made { part, piece } = &mut before.made[0];
        (part.length, piece.length) = (Length::mm(1500), Length::mm(1500));
    }),
    ("carried-stock-that-is-for-sale", "NotOnHand", |before| before.carried = 1),
];

/// One piece of the first part was made before.
fn account(batch: &Batch) -> Before {
    let part = Part { qty: 1, ..batch.parts[0].clone() };
    let piece = Stock { length: part.length, width: part.width, ..batch.stock[0].clone() };
    Before { made: vec![Made { part, piece }], ..Before::default() }
}

fn list(files: &BTreeMap<String, (Vec<u8>, BTreeSet<String>)>) -> String {
    let line = |(name, (_, faults)): (&String, &(Vec<u8>, BTreeSet<String>))| {
        format!("{name}: {}\n", faults.iter().map(String::as_str).collect::<Vec<_>>().join(" "))
    };
    files.iter().map(line).collect()
}

/// The name of a fault's variant, with that of the refusal behind it.
fn name(fault: &Fault) -> String {
    match fault {
        Fault::Certificate { refusal, .. } => format!("Certificate/{}", variant(refusal)),
        fault => variant(fault),
    }
}

fn variant(value: &impl std::fmt::Debug) -> String {
    format!("{value:?}").chars().take_while(char::is_ascii_alphanumeric).collect()
}

#[test]
fn the_folder_is_what_the_table_says() {
    let files = files();
    if std::env::var_os("NEST_BLESS").is_some() {
        fs::create_dir_all(folder()).unwrap();
        for (name, (bytes, _)) in &files {
            fs::write(folder().join(name), bytes).unwrap();
        }
        fs::write(folder().join("faults.txt"), list(&files)).unwrap();
        panic!("the folder was written anew; look at the changes and run without NEST_BLESS");
    }
    for (name, (bytes, _)) in &files {
        let found = fs::read(folder().join(name)).unwrap_or_default();
        assert!(found == *bytes, "{name} is not what the table says; NEST_BLESS=1 writes it anew");
    }
    assert_eq!(fs::read_to_string(folder().join("faults.txt")).unwrap(), list(&files));
    let known = |name: &str| name == "faults.txt" || files.contains_key(name);
    let orphans: Vec<String> = fs::read_dir(folder())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .filter(|name| !known(name))
        .collect();
    assert_eq!(orphans, Vec::<String>::new());
}

#[test]
fn every_file_of_the_folder_is_refused_for_its_reason() {
    let mut wrong = Vec::new();
    for (file, (_, expected)) in files() {
        let found = match read_plan(&fs::read(folder().join(&file)).unwrap()) {
            Err(_) => BTreeSet::from(["Unreadable".to_owned()]),
            Ok(input) => {
                let untrue = input.before.check(&input.batch).err().map_or(Vec::new(), Untruths::into_vec);
                let untrue = untrue.iter().map(|untrue| format!("Before/{}", variant(untrue)));
                match check(&input.batch.check().unwrap(), &input.plan) {
                    Ok(_) => untrue.collect(),
                    Err(faults) => untrue.chain(faults.as_slice().iter().map(name)).collect(),
                }
            }
        };
        if found != expected {
            wrong.push(format!("{file}: expected {expected:?}, but found {found:?}"));
        }
    }
    assert_eq!(wrong, Vec::<String>::new());
}

#[test]
fn the_sound_plan_survives_the_file_and_is_accepted() {
    let input = read_plan(&file(&batch(), &plan(), &account(&batch()))).unwrap();
    assert_eq!(input.plan, plan());
    assert_eq!(input.before.check(&input.batch), Ok(()));
    assert!(check(&input.batch.check().unwrap(), &input.plan).is_ok());
}
