//! A cut that the fence does not reach is called so on all papers, and no other is.

use crate::harness::Nest;

#[test]
fn an_edge_cut_with_a_guide_has_a_word_of_its_own() {
    for (reach, upper, named) in [("30", "with a guide", 1), ("60", "square", 0)] {
        let ran = Nest::new()
            .file("parts.csv", "part,material,thickness,length,width\ndoor,birch,3/4,40,45 1/2\n")
            .file("stock.csv", "material,form,thickness,length,width,grain\nbirch,sheet,3/4,48,46,none\n")
            .file("shop.toml", format!("units = \"in\"\n[sheets]\ntrim = \"1/4\"\nfence_reach = {reach}\n"))
            .args("plan parts.csv --stock stock.csv --shop shop.toml -o out")
            .any_stdout()
            .exit(0);
        let mut cuts = csv::Reader::from_path(ran.path("out/cuts.csv")).unwrap();
        let kinds: Vec<String> = cuts.records().map(|row| row.unwrap()[5].to_string()).collect();
        assert_eq!(kinds, ["square", "square", upper, "crosscut"]);
        for paper in ["cuts.csv", "report.html", "diagrams/layout-1-birch-3-4.svg"] {
            assert_eq!(ran.read(&format!("out/{paper}")).matches("with a guide").count(), named, "{paper}");
        }
    }
}
