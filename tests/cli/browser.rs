//! The report and the labels in a real browser: nothing is loaded, nothing complains, nothing leaves its box, ticks
//! last, and the pages that a printer gets are those that were meant.
//!
//! Where no browser is found (`chromium`, or what NEST_BROWSER names), each test says so and looks at nothing, unless NEST_TOOLS
//! says that there is one.

use crate::harness::{Nest, Ran, skipped};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::TempDir;

pub fn browser() -> Option<PathBuf> {
    let named = std::env::var_os("NEST_BROWSER").map(PathBuf::from);
    let path = std::env::var_os("PATH").unwrap_or_default();
    let found = std::env::split_paths(&path)
        .flat_map(|folder| ["chromium", "chromium-browser", "google-chrome"].map(|name| folder.join(name)))
        .find(|path| path.is_file());
    let browser = named.or(found);
    if browser.is_none() {
        skipped("browser", "no browser was found, so no page was looked at");
    }
    browser
}

/// Opens a page without a window; what it prints and what it complains of.
pub fn open(browser: &Path, page: &Path, args: &[String]) -> (String, String) {
    let profile = TempDir::new().unwrap();
    let output = Command::new(browser)
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"])
        .args(["--disable-background-networking", "--disable-component-update", "--disable-sync"])
        .args(["--enable-logging=stderr", "--hide-scrollbars", "--virtual-time-budget=20000"])
        // A browser asks its maker for news; here it finds nobody.
        .arg("--host-resolver-rules=MAP * ~NOTFOUND")
        .arg(format!("--user-data-dir={}", profile.path().display()))
        .args(args)
        .arg(format!("file://{}", page.display()))
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    (
        String::from_utf8_lossy(&output.stdout).into_owned(),
        String::from_utf8_lossy(&output.stderr).into_owned(),
    )
}

/// A copy of a page that runs a script of the test and puts what it returns into its title.
pub fn probed(page: &Path, script: &str) -> PathBuf {
    let text = fs::read_to_string(page).unwrap();
    let start = text.find("<meta http-equiv=\"Content-Security-Policy\"").unwrap();
    let end = start + text[start..].find('>').unwrap() + 1;
    let open = format!("{}{}", &text[..start], &text[end..]);
    let probe = format!("<script>addEventListener('load', () => {{ {script} }});</script></body>");
    let copy = page.with_extension("probe.html");
    fs::write(&copy, open.replace("</body>", &probe)).unwrap();
    copy
}

/// Whether this machine has letters as wide as those that a page is reckoned with; with others pages are whole, but there
/// may be more of them.
pub fn usual_letters(browser: &Path, page: &Path) -> bool {
    let script = "
        const text = document.createElement('span');
        text.style = 'font-size: 100px; position: absolute; white-space: nowrap';
        text.textContent = 'mW7';
        document.body.append(text);
        document.title = Math.round(text.getBoundingClientRect().width);";
    let (dom, _) = open(browser, &probed(page, script), &["--dump-dom".to_string()]);
    let usual = title(&dom) == "233";
    if !usual {
        skipped("letters", "no letters as wide as Helvetica's were found, so no pages were counted");
    }
    usual
}

pub fn title(dom: &str) -> String {
    dom.split_once("<title>").unwrap().1.split_once("</title>").unwrap().0.to_string()
}

const NAMES: [&str; 12] = [
    "shelf",
    "left tower adjustable shelf behind the lower drawers, painted",
    "xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx",
    "<script>document.title='caught'</script>",
    "<img src=x onerror=document.title='caught'>",
    "a & b \"\"quoted\"\" 'single'",
    "' onload='document.title=1",
    "</style><b>bold",
    "\u{0631}\u{0641} \u{0627}\u{0644}\u{062e}\u{0632}\u{0627}\u{0646}\u{0629}",
    "\u{05de}\u{05d3}\u{05e3} \u{05e2}\u{05dc}\u{05d9}\u{05d5}\u{05df}",
    "\u{1f469}\u{200d}\u{1f527} bench \u{1fab5}",
    "\u{5f15}\u{304d}\u{51fa}\u{3057}\u{306e}\u{524d}\u{677f}",
];

/// Papers of a plan with so many rows of parts, sheets and boards.
pub fn papers(rows: usize) -> Ran {
    papers_of(rows, 0)
}

/// The same where every so manieth part has a note; 0 for none.
pub fn papers_of(rows: usize, noted: usize) -> Ran {
    let mut parts =
        String::from("part,material,thickness,length,width,qty,length_edges,width_edges,job,fit,note\n");
    for row in 0..rows {
        let (name, length, width) = (NAMES[row % NAMES.len()], 9 + 7 * row % 61, 1 + 5 * row % 19);
        let fit = if row % 9 == 5 { "1/2" } else { "" };
        let job = NAMES[(row / 7) % NAMES.len()];
        let note = match row.checked_rem(noted) {
            Some(1) => NAMES[(row / noted) % NAMES.len()].repeat(1 + row % 3),
            _ => String::new(),
        };
        let edges = [row % 3, row / 3 % 3];
        parts += &format!(
            "\"{name}\",ply,3/4,{length},{width} 1/2,{},{},{},\"{job}\",{fit},\"{note}\"\n",
            1 + row % 2,
            edges[0],
            edges[1]
        );
        if row % 5 == 0 {
            parts += &format!("\"{name}\",pine,3/4,{length} 1/4,1 1/2,3,,,\"{job}\",,\n");
        }
    }
    Nest::new()
        .file("parts.csv", parts)
        .file(
            "stock.csv",
            "material,form,thickness,length,width,price,grain\nply,sheet,3/4,96,48,60,length\npine,board,3/4,96,1 1/2,4,\n",
        )
        .args("plan parts.csv --stock stock.csv --units in --effort none -q -o out --label-codes --label-start 4")
        .any_stdout()
        .any_stderr()
        .exit(0)
}

/// Sizes of windows: phone, laptop, and what a printer lays out on Letter.
const WINDOWS: [(u32, u32); 3] = [(390, 844), (1366, 768), (725, 941)];

#[test]
fn pages_load_nothing_and_complain_of_nothing() {
    let Some(browser) = browser() else { return };
    let ran = papers(24);
    for page in ["report.html", "labels.html"] {
        let path = ran.path("out").join(page);
        let (dom, complaints) = open(&browser, &path, &["--dump-dom".to_string()]);
        let console: Vec<&str> = complaints.lines().filter(|line| line.contains("CONSOLE")).collect();
        assert_eq!(console, [""; 0], "{page}");
        // A name that became markup would have changed the title.
        assert!(
            title(&dom).starts_with("Cutting plan ") || title(&dom).ends_with(" labels"),
            "{}",
            title(&dom)
        );
        // With its own ban on loading lifted, it still asks for nothing.
        let script = "document.title = 'asked for ' + performance.getEntriesByType('resource').length;";
        let (dom, _) = open(&browser, &probed(&path, script), &["--dump-dom".to_string()]);
        assert_eq!(title(&dom), "asked for 0", "{page}");
        let text = fs::read_to_string(&path).unwrap();
        for outside in [" src=\"", "<link", "@import", "<iframe", "url(http"] {
            assert!(!text.contains(outside), "{page}: {outside}");
        }
    }
}

/// Names that would change the title of the page, load something or complain, if any became markup.
#[test]
fn pages_and_drawings_of_hostile_lists_do_nothing() {
    let Some(browser) = browser() else { return };
    for attack in ["markup", "drawings"] {
        let ran = crate::attacks::plan(attack, "-q -o out").any_stdout().exit(0);
        let mut drawings = crate::harness::names(&ran.path("out/diagrams"));
        drawings.truncate(2);
        let drawings = drawings.iter().map(|name| format!("diagrams/{name}"));
        let pages = ["report.html", "labels.html"].map(String::from).into_iter().chain(drawings);
        for page in pages {
            let path = ran.path("out").join(&page);
            let (dom, complaints) = open(&browser, &path, &["--dump-dom".to_string()]);
            assert!(!complaints.contains("CONSOLE"), "{attack}, {page}: {complaints}");
            if page.ends_with(".html") {
                let title = title(&dom);
                let ours = title.starts_with("Cutting plan ") || title.ends_with(" labels");
                assert!(ours, "{attack}, {page}: {title}");
                let script =
                    "document.title = 'asked for ' + performance.getEntriesByType('resource').length;";
                let (dom, _) = open(&browser, &probed(&path, script), &["--dump-dom".to_string()]);
                assert_eq!(self::title(&dom), "asked for 0", "{attack}, {page}");
            } else {
                assert!(dom.contains("<svg") && !dom.contains("parsererror"), "{attack}, {page}");
            }
        }
    }
}

#[test]
fn no_element_leaves_its_box_at_any_size() {
    let Some(browser) = browser() else { return };
    // Wider than the window, wider or higher than the box that holds it, or a drawing with a text beyond its edge.
    let script = "
        const found = [];
        const root = document.documentElement;
        if (root.scrollWidth > innerWidth + 1) found.push('page ' + root.scrollWidth + '>' + innerWidth);
        for (const e of document.querySelectorAll('body *')) {
            if (e.closest('svg, .drawing, .skip, thead, script')) continue;
            const r = e.getBoundingClientRect();
            if (r.width && (r.right > innerWidth + 1 || r.left < -1) && !e.closest('.page')) found.push(e.tagName + ' ' + e.textContent.slice(0, 30));
            if (e.scrollWidth > e.clientWidth + 1 && e.clientWidth) found.push('wide ' + e.tagName + ' ' + e.className + ' ' + e.textContent.slice(0, 30));
            if (e.closest('.text') && e.scrollHeight > e.clientHeight + 1 && e.clientHeight) found.push('high ' + e.tagName + ' ' + e.textContent.slice(0, 30));
        }
        for (const svg of document.querySelectorAll('.drawing svg')) {
            // On a phone it keeps its size and its box scrolls; elsewhere it fits.
            if (innerWidth > 640 && svg.getBoundingClientRect().right > svg.parentElement.getBoundingClientRect().right + 1) found.push('wide drawing');
            if (svg.parentElement.tabIndex !== 0) found.push('no keyboard scrolls this drawing');
            const box = svg.getBoundingClientRect();
            for (const t of svg.querySelectorAll('text, rect')) {
                const r = t.getBoundingClientRect();
                if (r.left < box.left - 2 || r.right > box.right + 2 || r.top < box.top - 2 || r.bottom > box.bottom + 2) found.push('drawing ' + t.textContent);
            }
        }
        document.title = 'looked ' + document.querySelectorAll('body *').length + ' ' + found.length + ' ' + found.slice(0, 4).join(' | ');";
    for rows in [1, 40] {
        let ran = papers_of(rows, 4);
        for page in ["report.html", "labels.html"] {
            let copy = probed(&ran.path("out").join(page), script);
            for (width, height) in WINDOWS {
                // Labels keep their size on paper; a window narrower than that paper flows them.
                if page == "labels.html" && width == 725 {
                    continue;
                }
                let args = ["--dump-dom".to_string(), format!("--window-size={width},{height}")];
                let (dom, _) = open(&browser, &copy, &args);
                let title = title(&dom);
                let mut words = title.split(' ');
                assert_eq!(words.next(), Some("looked"), "{page}");
                assert!(words.next().unwrap().parse::<usize>().unwrap() > 20, "{page}: {title}");
                assert_eq!(words.next(), Some("0"), "{page}, {rows} rows, {width} wide: {title}");
            }
        }
    }
}

#[test]
fn ticks_survive_a_reload_and_end_with_the_plan() {
    let Some(browser) = browser() else { return };
    let ran = papers(12);
    let script = "
        const boxes = [...document.querySelectorAll('input[type=checkbox]')];
        const ticked = boxes.filter(b => b.checked).map(b => b.id);
        const step = sessionStorage.getItem('step');
        if (!step) { sessionStorage.setItem('step', ticked.length + ','); boxes[1].click(); location.reload(); }
        else if (!location.pathname.includes('other')) { sessionStorage.setItem('step', step + ticked.join('+') + ','); location.href = 'other.html'; }
        else { document.title = 'ticks ' + step + ticked.length + ' ' + boxes[1].id; }";
    let copy = probed(&ran.path("out/report.html"), script);
    let text = fs::read_to_string(&copy).unwrap();
    let start = text.find("data-plan=\"").unwrap() + 11;
    let other = format!("{}0000000000000000{}", &text[..start], &text[start + 16..]);
    fs::write(copy.with_file_name("other.html"), other).unwrap();
    let (dom, _) = open(&browser, &copy, &["--dump-dom".to_string()]);
    let title = title(&dom);
    let (ticks, id) = title.strip_prefix("ticks ").unwrap().split_once(' ').unwrap();
    assert_eq!(ticks, format!("0,{id},0"), "none at first, one after the reload, none for another plan");
}

/// Pages of a PDF: its page objects.
fn pages(browser: &Path, page: &Path) -> usize {
    let pdf = page.with_extension("pdf");
    open(browser, page, &["--no-pdf-header-footer".to_string(), format!("--print-to-pdf={}", pdf.display())]);
    let bytes = fs::read(pdf).unwrap();
    let text = String::from_utf8_lossy(&bytes);
    text.match_indices("/Type /Page").filter(|(at, _)| !text[at + 11..].starts_with('s')).count()
}

#[test]
fn the_printer_gets_the_pages_that_were_meant() {
    let Some(browser) = browser() else { return };
    for rows in [1, 40] {
        let ran = papers(rows);
        let labels = ran.read("out/labels.html").matches("<article").count();
        // Ten on a page of Letter, the first three places used.
        assert_eq!(
            pages(&browser, &ran.path("out/labels.html")),
            (labels + 3).div_ceil(10),
            "{labels} labels"
        );
    }
    // Reports of plans that never change: pages on Letter and on A4, counted by eye once.
    let folder = crate::papers::folder();
    for (name, letter, a4) in [
        ("feet", 4, 4),
        ("inches", 5, 5),
        ("millimetres", 3, 3),
        ("ripped", 2, 2),
        ("sheets-feet", 7, 7),
        ("sheets-inches", 7, 7),
        ("sheets-millimetres", 7, 7),
    ] {
        for (paper, expected) in [("letter", letter), ("a4", a4)] {
            let plan = fs::read(folder.join(name).join("plan.json")).unwrap();
            let args = format!("draw plan.json --paper {paper} -q -o out");
            let ran = Nest::new().file("plan.json", plan).args(&args).exit(0);
            if !usual_letters(&browser, &ran.path("out/report.html")) {
                return;
            }
            assert_eq!(pages(&browser, &ran.path("out/report.html")), expected, "{name} on {paper}");
        }
    }
}

/// Laid out as for a printer, each layout that says so is no higher than a page, and the style keeps it together; of all
/// others the drawing is kept whole.
#[test]
fn no_drawing_is_split_and_what_fits_a_page_is_kept_on_one() {
    let Some(browser) = browser() else { return };
    let script = "
        const found = [];
        let whole = 0, all = 0;
        for (const e of document.querySelectorAll('.layout')) {
            all++;
            const drawing = e.querySelector('.drawing');
            if (getComputedStyle(drawing).breakInside !== 'avoid') found.push('a drawing may break');
            if (drawing.getBoundingClientRect().height > high) found.push('a drawing is higher than a page');
            if (!e.classList.contains('whole')) continue;
            whole++;
            if (getComputedStyle(e).breakInside !== 'avoid') found.push('a layout may break');
            const is = e.getBoundingClientRect().height;
            if (is > high) found.push('layout ' + whole + ' is ' + Math.round(is) + ' of ' + Math.round(high));
        }
        document.title = all + ' ' + whole + ' ' + found.length + ' ' + found.slice(0, 4).join(' | ');";
    // Inside the margins of Letter and A4.
    for (paper, wide, high) in [("letter", 191.9, 249.4), ("a4", 186.0, 267.0)] {
        let script = format!("const high = {high} * 96 / 25.4; {script}");
        for rows in [1, 12, 80] {
            let args = format!("draw out/plan.json --paper {paper} -q -o other");
            let ran = papers(rows).then().args(&args).exit(0);
            let copy = probed(&ran.path("other/report.html"), &script);
            let text = fs::read_to_string(&copy).unwrap();
            assert!(text.contains("@media print {"));
            let body = format!("body {{ width: {wide}mm; }} html {{ overflow-x: hidden; }}</style>");
            let shown = text.replace("@media print", "@media all").replace("</style>", &body);
            fs::write(&copy, shown).unwrap();
            let (dom, _) =
                open(&browser, &copy, &["--dump-dom".to_string(), "--window-size=1000,900".to_string()]);
            let title = title(&dom);
            let mut words = title.splitn(4, ' ').map(|word| word.parse::<usize>().unwrap_or(0));
            let (all, whole, found) = (words.next().unwrap(), words.next().unwrap(), words.next().unwrap());
            assert_eq!(all, ran.read("other/report.html").matches("<article").count());
            assert!(whole > 0 && found == 0, "{rows} rows on {paper}: {title}");
        }
    }
}
