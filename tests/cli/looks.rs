//! How pages look in a real browser: whether everything stands out in the light and in the dark, whether names keep the
//! order of their letters, and how small letters get on labels.
//!
//! Where no browser is found, each test says so and looks at nothing.

use crate::browser::{browser, open, papers, papers_of, probed, title};
use crate::harness::Nest;
use std::fs;
use std::path::PathBuf;

/// Of every text and every drawing, in the light and in the dark: letters and lines against what is behind them. A drawing
/// is dark because a filter turns it around, so the same is done to its colours here.
const CONTRAST: &str = "
    const parts = colour => colour.match(/[0-9.]+/g).slice(0, 3).map(Number);
    const light = rgb => { const [r, g, b] = rgb.map(v => v / 255).map(v => v <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4); return .2126 * r + .7152 * g + .0722 * b; };
    const contrast = (a, b) => { const [x, y] = [light(a), light(b)].sort((p, q) => q - p); return (x + .05) / (y + .05); };
    const seen = c => !/rgba.*, 0\\)|transparent/.test(c);
    const behind = e => { for (; e; e = e.parentElement) { const c = getComputedStyle(e).backgroundColor; if (seen(c)) return parts(c); } return [255, 255, 255]; };
    const found = [];
    let looked = 0, dark = 0;
    // Paper stays white: what makes a page dark is for screens alone.
    for (const rule of [...document.styleSheets].flatMap(sheet => [...sheet.cssRules]))
        if (/color-scheme/.test(rule.conditionText) && !/screen/.test(rule.conditionText)) found.push(rule.conditionText);
    for (const e of document.querySelectorAll('body *')) {
        if (e.closest('svg, script, .skip') || ![...e.childNodes].some(n => n.nodeType === 3 && n.data.trim())) continue;
        looked++;
        const [ink, paper] = [parts(getComputedStyle(e).color), behind(e)];
        if (light(paper) < .05) dark++;
        if (contrast(ink, paper) < 4.5) found.push(e.tagName + ' ' + e.className + ' ' + e.textContent.slice(0, 20));
    }
    for (const svg of document.querySelectorAll('.drawing svg, .art svg')) {
        const turn = +(getComputedStyle(svg).filter.match(/invert\\(([0-9.]+)/) || [0, 0])[1];
        const turned = rgb => rgb.map(v => v * (1 - turn) + (255 - v) * turn);
        const page = behind(svg);
        const fills = [...svg.querySelectorAll('rect')].map(r => getComputedStyle(r)).filter(s => s.fill.startsWith('rgb') && s.stroke !== 'none');
        const grounds = [page, ...fills.map(s => turned(parts(s.fill)))];
        for (const e of svg.querySelectorAll('text, line, path, rect')) {
            const s = getComputedStyle(e), ink = e.tagName === 'text' || s.stroke === 'none' ? s.fill : s.stroke;
            if (!ink.startsWith('rgb') || light(parts(ink)) > .5) continue;
            looked++;
            for (const ground of grounds) if (contrast(turned(parts(ink)), ground) < 4.5) found.push(e.tagName + ' ' + ground);
        }
    }
    document.title = looked + ' ' + dark + ' ' + found.length + ' ' + found.slice(0, 4).join(' | ');";

#[test]
fn everything_stands_out_in_the_light_and_in_the_dark() {
    let Some(browser) = browser() else { return };
    let ran = papers(24);
    for page in ["report.html", "labels.html"] {
        let copy = probed(&ran.path("out").join(page), CONTRAST);
        for scheme in ["1", "0"] {
            let args = ["--dump-dom".to_string(), format!("--blink-settings=preferredColorScheme={scheme}")];
            let (dom, _) = open(&browser, &copy, &args);
            let title = title(&dom);
            let mut words = title.splitn(4, ' ').map(|word| word.parse::<usize>().unwrap_or(0));
            let [looked, dark, found] = [(); 3].map(|()| words.next().unwrap());
            assert!(looked > 200 && found == 0, "{page}, scheme {scheme}: {title}");
            assert_eq!(dark > 0, scheme == "0", "{page}, scheme {scheme}: {title}");
        }
    }
}

/// A name that is read from the right stands among sizes that are read from the left: each keeps its own order, on
/// pages, drawings and labels. Of each text the place of its letters is measured.
const ORDER: &str = "
    const found = [], seen = {};
    const place = (text, at) => {
        const of = text.parentElement.closest('text');
        if (!of) { const r = document.createRange(); r.setStart(text, at); r.setEnd(text, at + 1); const b = r.getBoundingClientRect(); return [b.left, b.top]; }
        const before = document.createRange(); before.setStart(of, 0); before.setEnd(text, at);
        const b = of.getExtentOfChar(before.toString().trimStart().length); return [b.x, 0];
    };
    const rises = (kind, text, ats) => {
        const places = ats.map(at => place(text, at));
        // Letters in two lines have no order.
        if (places.some(p => p[1] !== places[0][1])) return;
        seen[kind] = (seen[kind] || 0) + 1;
        for (let i = 1; i < places.length; i++)
            if (places[i][0] <= places[i - 1][0]) return found.push(kind + ': ' + text.data);
    };
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT, n => n.parentElement.closest('script, title') ? 2 : 1);
    while (walk.nextNode()) {
        const text = walk.currentNode, is = text.data;
        let m = /MATERIAL[^0-9]{0,2}( 18) (mm)/.exec(is);
        if (m) { const at = is.indexOf(' 18', m.index); rises('material', text, [m.index, at + 1, at + 4]); }
        m = /NAME/.exec(is);
        // From the right: its number lies between its words.
        if (m) { const at = m.index + is.slice(m.index).indexOf('5'); rises('name', text, [m.index + 6, at, m.index]); }
        m = /NAME[^0-9a-z]{0,4}[0-9]+.mm/.exec(is);
        if (m) rises('size', text, [m.index, m.index + m[0].search(/[0-9]+.mm/), m.index + m[0].indexOf('mm')]);
        m = /JOB/.exec(is);
        if (m) { rises('job', text, [m.index + 3, m.index]); }
    }
    document.title = Object.keys(seen).sort().map(k => k + ' ' + seen[k]).join(', ') + '; ' + found.length + ' ' + found.slice(0, 3).join(' | ');";

#[test]
fn names_from_the_right_keep_their_order_and_leave_sizes_theirs() {
    let Some(browser) = browser() else { return };
    let (material, name, job) =
        ("\u{62e}\u{634}\u{628}", "\u{5e8}\u{5e3} 5 \u{5dc}\u{5d5}", "\u{5d0}\u{5e8} 3");
    let script = ORDER.replace("MATERIAL", material).replace("NAME", name).replace("JOB", job);
    let ran = Nest::new()
        .file(
            "parts.csv",
            format!(
                "part,material,thickness,length,width,qty,job\n{name},{material},18,600,400,3,{job}\n\
                 {name},{material},18,90,30,9,bath\n{name},\u{5d0},20,600,,2,{job}\n"
            ),
        )
        .file(
            "stock.csv",
            format!(
                "material,form,thickness,length,width,price,grain\n{material},sheet,18,2440,1220,60,length\n\
                 \u{5d0},board,20,2400,40,4,\n"
            ),
        )
        .args("plan parts.csv --stock stock.csv --units mm --effort none -q -o out")
        .any_stdout()
        .any_stderr()
        .exit(0);
    let mut pages: Vec<PathBuf> =
        ["report.html", "labels.html"].map(|page| ran.path("out").join(page)).into();
    for drawing in crate::harness::names(&ran.path("out/diagrams")) {
        let svg = ran.read(&format!("out/diagrams/{drawing}"));
        let page = ran.path("out").join(&drawing).with_extension("html");
        let svg = svg.split_once("?>").unwrap().1;
        let head =
            "<meta http-equiv=\"Content-Security-Policy\" content=\"\"><meta charset=utf-8><title></title>";
        fs::write(&page, format!("{head}<body>{svg}</body>")).unwrap();
        pages.push(page);
    }
    assert_eq!(pages.len(), 4, "report and labels, a drawing of sheets and one of boards");
    let mut all = String::new();
    for page in pages {
        let (dom, _) = open(&browser, &probed(&page, &script), &["--dump-dom".to_string()]);
        let title = title(&dom);
        assert!(title.contains("; 0"), "{}: {title}", page.display());
        all += &title;
    }
    for kind in ["material ", "name ", "size ", "job "] {
        assert!(all.matches(kind).count() >= 2, "{kind}: {all}");
    }
}

/// Names without end as jobs and parts: on labels as they are sold, nothing is smaller than 6 pt, and
/// nothing but of a note is left out.
#[test]
fn long_names_on_labels_are_wrapped_before_they_get_too_small_to_read() {
    let Some(browser) = browser() else { return };
    let script = "
        const all = [...document.querySelectorAll('.text p')], sizes = all.map(p => parseFloat(getComputedStyle(p).fontSize) * .75);
        const count = (text, of) => text.split(of).length - 1;
        const long = [...document.querySelectorAll('.label')].map(l => count(l.textContent, 'x')).filter(n => n > 50);
        document.title = all.length + ' ' + Math.round(Math.min(...sizes) * 100) + ' ' + long.length + ' ' + Math.min(...long) + ' ' + count(all.filter(p => p.className != 'remark').map(p => p.textContent).join(), '…');";
    for paper in ["letter", "a4"] {
        let ran = papers_of(60, 4)
            .then()
            .args(&format!("draw out/plan.json --paper {paper} -q -o {paper}"))
            .exit(0);
        let copy = probed(&ran.path(paper).join("labels.html"), script);
        let (dom, _) =
            open(&browser, &copy, &["--dump-dom".to_string(), "--window-size=1280,800".to_string()]);
        let title = title(&dom);
        let found: Vec<usize> = title.split(' ').map(|word| word.parse().unwrap()).collect();
        let [all, smallest, long, fewest, cut] = found[..] else { panic!("{title}") };
        assert!(all > 500 && long > 10, "{paper}: {title}");
        assert!(smallest >= 595, "{paper}: letters of {smallest}/100 pt: {title}");
        assert!(fewest >= 60 && cut == 0, "{paper}: {title}");
    }
}

#[test]
fn no_word_is_broken_in_a_table() {
    let Some(browser) = browser() else { return };
    let script = "
        let looked = 0;
        const found = [];
        for (const bdi of document.querySelectorAll('td bdi')) for (const node of bdi.childNodes) for (const word of node.data.matchAll(/[^ ]+/g)) {
            const range = document.createRange();
            range.setStart(node, word.index);
            range.setEnd(node, word.index + word[0].length);
            looked++;
            if (range.getClientRects().length > 1) found.push(word[0]);
        }
        document.title = looked + ' ' + found.length + ' ' + found.join(' | ');";
    // Long sizes beside the names of what they are of.
    let ran = Nest::new()
        .file("parts.csv", "part,material,thickness,length,width,qty\nback,hardboard,3,890,710,1\npanel,hardboard,3,700,555.5,1\n")
        .file("stock.csv", "name,material,form,thickness,length,width,price\nhardboard,hardboard,sheet,3,2440.5,1220.5,14\n")
        .args("plan parts.csv --stock stock.csv --units mm --trim 10 -q -o out")
        .any_stdout()
        .exit(0);
    let copy = probed(&ran.path("out/report.html"), script);
    for width in [725, 1366] {
        let args = ["--dump-dom".to_string(), format!("--window-size={width},941")];
        let title = title(&open(&browser, &copy, &args).0);
        let mut words = title.splitn(3, ' ').map(|word| word.parse::<usize>().unwrap_or(0));
        let [looked, found] = [(); 2].map(|()| words.next().unwrap());
        assert!(looked > 8 && found == 0, "{width} wide: {title}");
    }
}
