//! What a plan.json states beside its layouts is refused where it does not follow from them, with its place.

use serde_json::{Value, json};

use crate::harness::{Nest, Ran};

/// Two boards of one kind and a sheet, with an offcut of each.
fn planned() -> Ran {
    Nest::new()
        .file("parts.csv", "part,material,section,thickness,length,width,qty\nrail,oak,1x4,,1400,,2\nside,ply,,18,900,700,1\n")
        .file(
            "stock.csv",
            "material,form,section,thickness,length,width,price,grain\noak,board,1x4,,2400,,7.50,\nply,sheet,,18,2440,1220,60,length\n",
        )
        .file("shop.toml", "units = \"mm\"\ncurrency = \"EUR\"\n")
        .args("plan parts.csv --stock stock.csv --shop shop.toml -o out")
        .any_stdout()
        .exit(0)
}

#[test]
fn what_does_not_follow_from_the_layouts_is_refused() {
    let ran = planned();
    let sound: Value = serde_json::from_str(&ran.read("out/plan.json")).unwrap();
    let mut next = ran.then();
    for (place, value, fault) in [
        ("/currency", json!("USD"), "`currency` is USD, but it must be EUR"),
        ("/groups/0/material", json!("ash"), "`groups[0].material` is ash, but it must be oak 1x4"),
        ("/groups/0/kind", json!("sheets"), "`groups[0].kind` is sheets, but it must be boards"),
        ("/groups/0/cost", json!("14.99"), "`groups[0].cost` is 14.99, but it must be 15.00"),
        ("/groups/1/status", json!("feasible"), "`groups[1].status` is feasible, but it must be proven"),
        ("/groups/1/impossible", json!(true), "`groups[1].impossible` is true, but it must be false"),
        ("/buy/0/qty", json!(3), "`buy[0].qty` is 3, but it must be 2"),
        ("/buy/0/spare", json!(1), "`buy[0].spare` is 1, but it must be 0"),
        ("/buy/0/each", json!("7"), "`buy[0].each` is 7.00, but it must be 7.50"),
        ("/buy/1/total", json!("0.60"), "`buy[1].total` is 0.60, but it must be 60.00"),
        ("/buy/1/total", json!(null), "`buy[1].total` is nothing, but it must be 60.00"),
        ("/buy/1/stock", json!(0), "`buy[1]` is 1 of stock 0, which the layouts do not give"),
        ("/buy", json!([]), "`buy` lacks 2 of stock 0"),
        ("/offcuts/0/qty", json!(1), "`offcuts[0].qty` is 1, but it must be 2"),
        ("/offcuts/0/size/0", json!(1), "`offcuts[0].size` is [1, 88.9], but it must be [996.8, 88.9]"),
        (
            "/offcuts/0/layout",
            json!(7),
            "`offcuts[0]` is layout 7 at [1403.2, 0], which the layouts do not give",
        ),
        ("/offcuts", json!([]), "`offcuts` lacks layout 0 at [1403.2, 0]"),
    ] {
        let mut plan = sound.clone();
        let (parent, field) = place.rsplit_once('/').unwrap();
        match (plan.pointer_mut(parent).unwrap(), field.parse::<usize>()) {
            (Value::Array(list), Ok(index)) => list[index] = value,
            (parent, _) => parent[field] = value,
        }
        let text = format!("  {fault}\n");
        let ran = next.file("plan.json", plan.to_string()).args("check plan.json").says(&text).exit(1);
        let ran = ran.then().args("draw plan.json -o drawn --units in").says(&text).exit(1);
        next = ran.then();
    }
}

#[test]
fn what_is_not_stated_or_stands_in_another_order_is_no_fault() {
    let ran = planned();
    let mut plan: Value = serde_json::from_str(&ran.read("out/plan.json")).unwrap();
    for list in ["buy", "offcuts"] {
        plan[list].as_array_mut().unwrap().reverse();
    }
    plan["buy"][0]["total"] = "60".into();
    let mut silent = plan.clone();
    for name in ["buy", "offcuts", "currency"] {
        silent.as_object_mut().unwrap().remove(name);
    }
    silent["groups"][0].as_object_mut().unwrap().remove("kind");
    let mut next = ran.then();
    for plan in [plan, silent] {
        next = next.file("plan.json", plan.to_string()).args("check plan.json").any_stdout().exit(0).then();
    }
}

#[test]
fn other_offcuts_worth_keeping_are_another_question() {
    for (table, setting, keep) in
        [("boards", "boards.keep", "\"500\""), ("sheets", "sheets.keep", "[\"700\", \"300\"]")]
    {
        planned()
            .then()
            .file("other.toml", format!("units = \"mm\"\ncurrency = \"EUR\"\n[{table}]\nkeep = {keep}\n"))
            .args("check out/plan.json --parts parts.csv --stock stock.csv --shop other.toml")
            .says(&format!("  {setting} of the shop is 600 mm"))
            .exit(1);
    }
}
