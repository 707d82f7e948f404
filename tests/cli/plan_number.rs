//! All papers of a plan name it by the same few signs, and no other plan by those: whoever carries on has papers of two plans
//! with a layout 3 each.

use crate::carry_on::{RAILS, frame, rest};
use crate::harness::{Nest, Ran, names};

/// What the summary calls a plan.
fn called(stdout: &str) -> String {
    stdout.strip_prefix("Plan ").unwrap().split_once(": ").unwrap().0.to_owned()
}

/// What the papers in a folder call it, once all of them are known to say the same.
fn on_papers(ran: &Ran, folder: &str) -> String {
    let report = ran.read(&format!("{folder}/report.html"));
    let (_, title) = report.split_once("<h1>Cutting plan ").unwrap();
    let plan = title.split_once('<').unwrap().0.to_owned();
    assert!(report.contains(&format!("content: \"plan {plan}\"")), "at the foot of each printed page");
    let labels = ran.read(&format!("{folder}/labels.html"));
    let [all, ours] = ["<article class=\"label\"", &format!("<p class=\"plan\">plan {plan}</p>")]
        .map(|text| labels.matches(text).count());
    assert!(all > 0 && all == ours, "{all} labels, {ours} with {plan}");
    let drawings = names(&ran.path(&format!("{folder}/diagrams")));
    assert!(!drawings.is_empty());
    for name in drawings {
        let drawing = ran.read(&format!("{folder}/diagrams/{name}"));
        assert_eq!(drawing.matches(&format!("\n{plan}\n")).count(), 1, "{name}: {drawing}");
    }
    plan
}

#[test]
fn all_papers_of_a_plan_have_its_number_and_those_of_the_next_plan_another() {
    let plan = "plan parts.csv --stock stock.csv --units in --trim 1/4";
    let ran = frame().args(&format!("{plan} -o one --force")).any_stdout().any_stderr().exit(0);
    let first = called(&ran.stdout);
    assert_eq!(on_papers(&ran, "one"), first);
    let ran = ran.then().args("draw one/plan.json --units mm --labels 3x8 -o mm -q").exit(0);
    assert_eq!(on_papers(&ran, "mm"), first, "in other units");
    // A price that is mended leaves what is cut as it was.
    let dearer = "material,section,length,price\nfir,1x4,8',7\n";
    let ran = ran.then().file("dearer.csv", dearer).args(&plan.replace("stock.csv", "dearer.csv"));
    let ran = ran.any_stdout().any_stderr().exit(0);
    assert_eq!(called(&ran.stdout), first);
    let ran = rest(ran.then(), "parts.csv", "--cut 1").any_stdout().any_stderr().exit(0);
    let second = called(&ran.stdout);
    assert_eq!(on_papers(&ran, "rest"), second);
    assert_ne!(first, second);
    // The same layouts for other parts are another plan.
    let ran = ran.then().file("parts.csv", RAILS.replace("stile", "post")).args(plan);
    assert_ne!(called(&ran.any_stdout().exit(0).stdout), first);
}

#[test]
fn a_label_without_room_has_the_number_alone_or_none() {
    let ran = |size: &str, codes: &str| {
        let plan = format!("plan parts.csv --stock stock.csv --units mm -o out --labels {size} {codes}");
        Nest::new()
            .file("parts.csv", "part,material,length,width\nshelf,mdf,300,300\n")
            .file("stock.csv", "material,length,width,thickness\nmdf,2400,1200,18\n")
            .args(&plan)
            .any_stdout()
            .any_stderr()
            .exit(0)
    };
    let line = |ran: &Ran| {
        let labels = ran.read("out/labels.html");
        let line = labels
            .split_once("<p class=\"plan\">")
            .map(|(_, rest)| rest.split_once('<').unwrap().0.to_owned());
        line.map(|line| line.replace(&called(&ran.stdout), "K7R3"))
    };
    assert_eq!(line(&ran("2x7", "")).as_deref(), Some("plan K7R3"));
    assert_eq!(line(&ran("4x11", "")).as_deref(), Some("K7R3"));
    assert_eq!(line(&ran("4x11", "--label-codes")), None);
}
