//! The committed schema says what plan.json looks like: everything that is written obeys it, and everything that it
//! names is written by some plan here.
//!
//! The validator below knows the keywords that the schema uses and refuses any other, so none is passed over.

use crate::papers::{NAMES, folder};
use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;

fn schema() -> Value {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/plan.schema.json");
    serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap()
}

fn plan(name: &str) -> Value {
    serde_json::from_str(&fs::read_to_string(folder().join(name).join("plan.json")).unwrap()).unwrap()
}

struct Validator {
    root: Value,
    faults: Vec<String>,
    /// Places of the schema that some value met.
    met: BTreeSet<String>,
}

impl Validator {
    fn of(value: &Value) -> Self {
        let mut this = Self { root: schema(), faults: Vec::new(), met: BTreeSet::new() };
        let root = this.root.clone();
        this.look(value, &root, "", "#");
        this
    }

    /// `at` is where the value stands in the file, `place` where its rule stands in the schema.
    fn look(&mut self, value: &Value, rule: &Value, at: &str, place: &str) {
        self.met.insert(place.to_string());
        for (keyword, asked) in rule.as_object().unwrap() {
            let holds = match keyword.as_str() {
                "$schema" | "title" | "description" | "$defs" | "properties" => true,
                "$ref" => {
                    let name = asked.as_str().unwrap().strip_prefix("#/$defs/").unwrap();
                    let target = self.root["$defs"][name].clone();
                    assert!(target.is_object(), "the schema has no {name}");
                    self.look(value, &target, at, &format!("#{name}"));
                    true
                }
                "type" => types(asked).iter().any(|kind| is_a(value, kind)),
                "const" => value == asked,
                "enum" => asked.as_array().unwrap().contains(value),
                "minimum" => value.as_f64().is_none_or(|v| v >= asked.as_f64().unwrap()),
                "minItems" => value.as_array().is_none_or(|v| v.len() as u64 >= asked.as_u64().unwrap()),
                "maxItems" => value.as_array().is_none_or(|v| v.len() as u64 <= asked.as_u64().unwrap()),
                "pattern" => {
                    assert_eq!(asked, "^[0-9]+([.][0-9]+)?$", "the only pattern that this validator knows");
                    value.as_str().is_none_or(is_decimal)
                }
                "required" => value.as_object().is_none_or(|object| {
                    asked.as_array().unwrap().iter().all(|name| object.contains_key(name.as_str().unwrap()))
                }),
                "additionalProperties" => {
                    assert_eq!(asked, false);
                    let known = rule["properties"].as_object().unwrap();
                    value.as_object().is_none_or(|object| object.keys().all(|name| known.contains_key(name)))
                }
                "items" => {
                    for (i, item) in value.as_array().into_iter().flatten().enumerate() {
                        self.look(item, asked, &format!("{at}/{i}"), &format!("{place}[]"));
                    }
                    true
                }
                "minProperties" => {
                    value.as_object().is_none_or(|v| v.len() as u64 >= asked.as_u64().unwrap())
                }
                "maxProperties" => {
                    value.as_object().is_none_or(|v| v.len() as u64 <= asked.as_u64().unwrap())
                }
                "oneOf" => {
                    let tried = asked.as_array().unwrap().iter().map(|rule| {
                        let mut trial =
                            Self { root: self.root.clone(), faults: Vec::new(), met: BTreeSet::new() };
                        trial.look(value, rule, at, place);
                        trial
                    });
                    let fit: Vec<Self> = tried.filter(|trial| trial.faults.is_empty()).collect();
                    let one = fit.len() == 1;
                    self.met.extend(fit.into_iter().flat_map(|trial| trial.met));
                    one
                }
                other => panic!("the validator does not know {other}"),
            };
            if !holds {
                self.faults.push(format!("{at}: {keyword} {asked}"));
            }
        }
        let (Some(object), Some(properties)) = (value.as_object(), rule["properties"].as_object()) else {
            return;
        };
        for (name, inner) in object {
            if let Some(rule) = properties.get(name) {
                self.look(inner, rule, &format!("{at}/{name}"), &format!("{place}.{name}"));
            }
        }
    }
}

fn types(asked: &Value) -> Vec<&str> {
    match asked {
        Value::Array(kinds) => kinds.iter().map(|kind| kind.as_str().unwrap()).collect(),
        kind => vec![kind.as_str().unwrap()],
    }
}

fn is_a(value: &Value, kind: &str) -> bool {
    match kind {
        "null" => value.is_null(),
        "boolean" => value.is_boolean(),
        "integer" => value.is_i64() || value.is_u64(),
        "number" => value.is_number(),
        "string" => value.is_string(),
        "array" => value.is_array(),
        "object" => value.is_object(),
        other => panic!("no type {other}"),
    }
}

fn is_decimal(text: &str) -> bool {
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    text.split_once('.').map_or(digits(text), |(whole, part)| digits(whole) && digits(part))
}

/// A plan with every field that there is, so that a field missing in the schema, or only there, is found.
const EVERYTHING: &str = include_str!("everything.json");

/// Every place of a property in the schema, as [`Validator::met`] names it.
fn places(rule: &Value, place: &str, found: &mut BTreeSet<String>) {
    for (name, inner) in rule["properties"].as_object().into_iter().flatten() {
        let here = format!("{place}.{name}");
        found.insert(here.clone());
        places(inner, &here, found);
    }
    if rule["items"].is_object() {
        places(&rule["items"], &format!("{place}[]"), found);
    }
    for inner in rule["oneOf"].as_array().into_iter().flatten() {
        places(inner, place, found);
    }
}

#[test]
fn what_is_written_obeys_the_schema() {
    for name in NAMES {
        assert_eq!(Validator::of(&plan(name)).faults, [""; 0], "{name}");
    }
}

#[test]
fn the_schema_and_the_reader_know_the_same_fields() {
    let all: Value = serde_json::from_str(EVERYTHING).unwrap();
    let validator = Validator::of(&all);
    assert_eq!(validator.faults, [""; 0]);
    let schema = schema();
    let mut places_of_all = BTreeSet::new();
    places(&schema, "#", &mut places_of_all);
    for (name, rule) in schema["$defs"].as_object().unwrap() {
        places(rule, &format!("#{name}"), &mut places_of_all);
    }
    let unused: Vec<_> = places_of_all.difference(&validator.met).collect();
    assert_eq!(unused, [""; 0], "named by the schema, but not in everything.json");
    // The reader refuses unknown fields, so it knows all of these; and it writes back what it read.
    let read = nest_cli::input::json::read_plan(EVERYTHING.as_bytes()).unwrap();
    let file: nest_cli::plan_file::PlanFile = serde_json::from_str(EVERYTHING).unwrap();
    let again: Value = serde_json::from_slice(&nest_cli::output::json::render(&file)).unwrap();
    assert_eq!(again, all);
    assert_eq!(read.batch.parts.len(), 2);
}

#[test]
fn what_breaks_the_schema_is_found() {
    let spoilt = |change: fn(&mut Value)| {
        let mut plan = plan("inches");
        change(&mut plan);
        Validator::of(&plan).faults.len()
    };
    assert_eq!(spoilt(|_| ()), 0);
    assert!(spoilt(|plan| plan["wings"] = 2.into()) > 0);
    assert!(spoilt(|plan| plan["cost"] = 86.9.into()) > 0);
    assert!(spoilt(|plan| plan["cost"] = "86.".into()) > 0);
    assert!(spoilt(|plan| plan["layouts"][0]["copies"] = 0.into()) > 0);
    assert!(spoilt(|plan| plan["layouts"][0]["pieces"][0]["at"] = serde_json::json!([1])) > 0);
    assert!(spoilt(|plan| plan["layouts"][0]["root"]["cut"] = "diagonal".into()) > 0);
    assert!(spoilt(|plan| drop(plan.as_object_mut().unwrap().remove("batch"))) > 0);
}
