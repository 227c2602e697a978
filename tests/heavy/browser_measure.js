/* Measures pages in a real browser. `pages` holds { name: base64 of an HTML document }, `frames` how wide each is shown:
 * [name, width in CSS px, "screen", "dark" or "forced"] or [name, width of the paper in mm, "print"]; forced colours are the
 * browser's own, which browser_forced.py asks for. On screen every fold is opened. Writes one line a finding, `page|frame|what is wrong`, then one line a page,
 * `measured|page|figures|texts in them`, into <pre id="findings">; its last line is `end`. */
"use strict";
const findings = [];
let where = "";
const bad = (what) => findings.push(where + "|" + what.replace(/\s+/g, " "));
const name_of = (e) => e.tagName.toLowerCase() + ' "' + e.textContent.trim().slice(0, 40) + '"';

/* ---- colours ---- */
const colour = (text) => {
    const n = (text.match(/[\d.]+/g) || [0, 0, 0, 0]).map(Number);
    return { r: n[0], g: n[1], b: n[2], a: n.length > 3 ? n[3] : 1 };
};
const over = (top, under) => ({
    r: top.r * top.a + under.r * (1 - top.a),
    g: top.g * top.a + under.g * (1 - top.a),
    b: top.b * top.a + under.b * (1 - top.a),
    a: 1,
});
/* Relative luminance and contrast: Web Content Accessibility Guidelines 2.1, definitions of both. */
const luminance = (c) => {
    const channel = (v) => (v / 255 <= 0.03928 ? v / 255 / 12.92 : Math.pow((v / 255 + 0.055) / 1.055, 2.4));
    return 0.2126 * channel(c.r) + 0.7152 * channel(c.g) + 0.0722 * channel(c.b);
};
const contrast = (a, b) => {
    const l = [luminance(a), luminance(b)].sort((x, y) => y - x);
    return (l[0] + 0.05) / (l[1] + 0.05);
};
/* What lies under everything: white, with forced colours the reader's own. */
const ground = (doc) => {
    const probe = doc.createElement("p");
    probe.style.cssText = "forced-color-adjust:none;background:" + (forced(doc) ? "Canvas" : "#fff");
    doc.body.append(probe);
    const found = colour(getComputedStyle(probe).backgroundColor);
    probe.remove();
    return found;
};
const forced = (doc) => doc.defaultView.matchMedia("(forced-colors: active)").matches;
let under_all = { r: 255, g: 255, b: 255, a: 1 };
const background = (element) => {
    const layers = [];
    for (let e = element; e; e = e.parentElement) layers.push(colour(getComputedStyle(e).backgroundColor));
    return layers.reverse().reduce((under, top) => over(top, under), under_all);
};
/* What stands behind a text of a figure: the shapes drawn before it that hold the point. */
const shapes = "rect,circle,ellipse,path,polygon,polyline";
const behind = (svg, text, point) => {
    const own = getComputedStyle(text);
    if (own.paintOrder.startsWith("stroke") && own.stroke !== "none") return over(colour(own.stroke), background(svg)); /* its halo */
    let under = background(svg);
    for (const shape of svg.querySelectorAll(shapes)) {
        if (!(shape.compareDocumentPosition(text) & Node.DOCUMENT_POSITION_FOLLOWING)) continue;
        const style = getComputedStyle(shape);
        if (style.fill === "none" || shape.closest("defs")) continue;
        const at = svg.createSVGPoint();
        [at.x, at.y] = point;
        if (!shape.isPointInFill(at.matrixTransform(shape.getScreenCTM().inverse()))) continue;
        const fill = colour(style.fill);
        under = over({ ...fill, a: fill.a * Number(style.fillOpacity) * Number(style.opacity) }, under);
    }
    return under;
};
const check_contrast = (what, front, backs) => {
    for (const back of backs) {
        const ratio = contrast(over(front, back), back);
        if (!(ratio >= 4.5)) return bad("contrast " + ratio.toFixed(2) + ": " + what);
    }
};

/* ---- the page ---- */
const shown = (e) => e.getClientRects().length > 0 && e.checkVisibility() && getComputedStyle(e).visibility !== "hidden";
const headings = (doc) => {
    const all = [...doc.querySelectorAll("h1,h2,h3,h4,h5,h6")];
    const firsts = all.filter((h) => h.tagName === "H1").length;
    if (firsts !== 1) bad(firsts + " headings of level 1");
    let level = 0;
    for (const h of all) {
        const own = Number(h.tagName[1]);
        if (own > level + 1) bad("heading of level " + own + " after level " + level + ": " + name_of(h));
        level = own;
    }
};
/* Words of two cells side by side: a letter's width apart at least. */
const words_in = (cell) => {
    const range = document.createRange();
    range.selectNodeContents(cell);
    return [...range.getClientRects()].filter((r) => r.width > 0.5);
};
const columns = (table) => {
    for (const row of table.rows) {
        const cells = [...row.cells].filter((c) => shown(c) && c.textContent.trim() && !c.querySelector("svg"));
        cells.slice(1).forEach((right, i) => {
            const left = cells[i], near = 0.35 * Math.min(...[left, right].map((c) => parseFloat(getComputedStyle(c).fontSize)));
            for (const a of words_in(left))
                for (const b of words_in(right))
                    if (Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 2 && b.left - a.right < near)
                        return bad("columns run together: " + name_of(left) + " and " + name_of(right));
        });
    }
};
const tables = (doc) => {
    for (const table of doc.querySelectorAll("table")) {
        const heads = [...table.querySelectorAll("th")];
        if (heads.length === 0) bad("a table without heads: " + name_of(table));
        for (const th of heads) if (!th.scope) bad("a head without scope: " + name_of(th));
        columns(table);
        const strips = [...table.querySelectorAll(".strip svg")].map((s) => s.getBoundingClientRect());
        for (const s of strips) /* the scale in the head is that of the rows */
            if (Math.abs(s.left - strips[0].left) > 0.6 || Math.abs(s.width - strips[0].width) > 0.6)
                bad("strips on two scales: " + name_of(table));
    }
};
/* A box that scrolls sideways hides nothing where there is a screen and the keyboard reaches it. */
const scroller = (e, medium) => {
    for (; e; e = e.parentElement) {
        const x = getComputedStyle(e).overflowX;
        if ((x === "auto" || x === "scroll") && medium !== "print" && e.tabIndex >= 0) return e;
    }
    return null;
};
const overflow = (doc, medium) => {
    const width = doc.documentElement.clientWidth;
    if (doc.documentElement.scrollWidth > width) bad("overflow: the page is wider than its window");
    const told = new Set(); /* the outermost box alone is told */
    for (const e of doc.body.querySelectorAll("*")) {
        if (told.has(e.parentElement)) told.add(e);
        if (told.has(e) || !shown(e) || e.closest("svg") !== null && e.tagName !== "svg") continue;
        const style = getComputedStyle(e), box = e.getBoundingClientRect();
        if ((box.right > width + 0.6 || box.left < -0.6) && !scroller(e.parentElement, medium)) {
            bad("overflow: beyond the window: " + name_of(e));
            told.add(e);
        }
        const hides = style.overflowX !== "visible" && e.tagName !== "svg" && !scroller(e, medium);
        const read_aloud = e.classList.contains("hidden"); /* for those who listen: a pixel by intention */
        if (hides && !read_aloud && (e.scrollWidth > e.clientWidth + 1 || e.scrollHeight > e.clientHeight + 1))
            bad("cut off: " + name_of(e));
    }
};
const texts = (doc) => {
    const walker = doc.createTreeWalker(doc.body, NodeFilter.SHOW_TEXT);
    const seen = new Set();
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
        const e = node.parentElement;
        if (!node.data.trim() || seen.has(e) || e.closest("svg,script,style") || !shown(e)) continue;
        seen.add(e);
        check_contrast(name_of(e), colour(getComputedStyle(e).color), [background(e)]);
    }
};

/* ---- sizes on paper, pt: what is read at arm's length, and the patient's sheet ---- */
const least = [
    [".theatre:not(.full) .huge:not(.later)", 62], [".theatre.full .huge:not(.later)", 46], [".theatre .huge.later", 28],
    [".theatre .eye-word", 40], [".theatre:not(.full) .rungs .power", 19], [".theatre.full .rungs .power", 15],
    [".theatre:not(.full) .facts", 12.5], [".theatre.full .facts", 11.4], [".theatre .not-done", 10.4], [".theatre .minded", 9.8],
    [".decide h1", 23], [".decide .decision", 19], [".decide .lead:not(.open) .power", 25], [".decide", 8],
    [".patient :is(p, li, h2, h3)", 12],
];
const sizes = (doc) => {
    for (const [what, pt] of least)
        for (const e of doc.querySelectorAll(what)) {
            if (e.closest("footer") || e.closest(".unchecked") || !e.textContent.trim()) continue;
            const own = parseFloat(getComputedStyle(e).fontSize) * 0.75;
            if (own < pt - 0.01) bad("type " + own.toFixed(1) + " pt, wanted " + pt + ": " + name_of(e));
        }
};

/* ---- figures ---- */
const inside = (svg, e) => {
    const view = svg.viewBox.baseVal, box = e.getBBox(), style = getComputedStyle(e);
    const half = e.tagName !== "text" && style.stroke !== "none" ? parseFloat(style.strokeWidth) / 2 : 0;
    const to = svg.getScreenCTM().inverse().multiply(e.getScreenCTM());
    for (const x of [box.x - half, box.x + box.width + half])
        for (const y of [box.y - half, box.y + box.height + half]) {
            const at = svg.createSVGPoint();
            [at.x, at.y] = [x, y];
            const p = at.matrixTransform(to);
            if (p.x < view.x - 0.6 || p.x > view.x + view.width + 0.6) return false;
            if (p.y < view.y - 0.6 || p.y > view.y + view.height + 0.6) return false;
        }
    return true;
};
const points = (box) => {
    const x = [box.left + 1, (box.left + box.right) / 2, box.right - 1];
    return x.map((at) => [at, (box.top + box.bottom) / 2]);
};
const numbers = (text) => (text.replace(/\u2212/g, "-").match(/[+-]?\d+(\.\d+)?/g) || []).map((n) => n.replace(/^\+/, ""));
const figure = (doc, svg, medium, in_tables) => {
    const described = (kind) => [...svg.children].some((c) => c.tagName === kind && c.textContent.trim());
    const first = svg.textContent.trim().slice(0, 40);
    for (const kind of ["title", "desc"]) if (!described(kind)) bad("a figure without " + kind + ': "' + first + '"');
    if (!svg.viewBox.baseVal || !(svg.viewBox.baseVal.width > 0)) return bad("a figure without viewBox: " + first);
    const labels = [...svg.querySelectorAll("text")].filter((t) => t.textContent.trim());
    for (const e of svg.querySelectorAll("text,line," + shapes))
        if (!e.closest("defs,clipPath") && !inside(svg, e)) bad("outside its figure: " + name_of(e) + " of " + first);
    labels.forEach((t, i) => {
        const box = t.getBoundingClientRect(), style = getComputedStyle(t), to = t.getScreenCTM();
        if (!(box.width > 0) || style.visibility === "hidden") bad("not visible: " + name_of(t));
        const px = parseFloat(style.fontSize) * Math.hypot(to.a, to.b);
        if (px < (medium !== "print" ? 9.0 : 8.0)) bad("small, " + px.toFixed(1) + " px: " + name_of(t));
        const front = colour(style.fill);
        check_contrast(name_of(t), { ...front, a: front.a * Number(style.opacity) }, points(box).map((p) => behind(svg, t, p)));
        for (const other of labels.slice(i + 1)) {
            const b = other.getBoundingClientRect();
            const wide = Math.min(box.right, b.right) - Math.max(box.left, b.left);
            const high = Math.min(box.bottom, b.bottom) - Math.max(box.top, b.top);
            if (wide > 0.5 && high > 0.5) bad("labels overlap: " + name_of(t) + " and " + name_of(other));
            else if (!t.closest(".tables") && wide > -0.2 * px && high > 0.5 * px) /* on the sheets */
                 bad("labels run together: " + name_of(t) + " and " + name_of(other));
        }
        if (!t.closest(".scale,.date"))
            for (const n of numbers(t.textContent))
                if (!in_tables.has(n)) bad("number " + n + " of a figure stands in no table: " + name_of(t));
    });
    return labels.length;
};
const figures = (doc, medium) => {
    const in_tables = new Set();
    for (const cell of doc.querySelectorAll("td,th")) for (const n of numbers(cell.textContent)) in_tables.add(n);
    const all = [...doc.querySelectorAll("svg")].filter(shown);
    return [all.length, all.reduce((sum, svg) => sum + (figure(doc, svg, medium, in_tables) || 0), 0)];
};

/* ---- run ---- */
const text_of = (base64) => new TextDecoder().decode(Uint8Array.from(atob(base64), (c) => c.charCodeAt(0)));
const show = (html, width, medium) =>
    new Promise((done) => {
        if (medium === "print") { /* what the sheet's own margins leave, at 96 px an inch */
            const margin = html.match(/@page\s*{\s*margin:\s*([\d.]+)mm(?:\s+([\d.]+)mm)?/) || [0, 10];
            width = ((width - 2 * Number(margin[2] || margin[1])) * 96) / 25.4;
        }
        const frame = document.createElement("iframe");
        frame.style.cssText = "border:0;height:200px;width:" + width + "px";
        frame.onload = () => {
            const doc = frame.contentDocument;
            if (medium !== "print") for (const fold of doc.querySelectorAll("details")) fold.open = true;
            frame.style.height = doc.documentElement.scrollHeight + 50 + "px";
            done([frame, doc]);
        };
        html = html.replace(/<meta http-equiv="Content-Security-Policy"[^>]*>/, "");
        if (medium === "dark") html = html.replace(/@media screen and \(prefers-color-scheme: dark\)/g, "@media all");
        if (medium === "print") html = html.replace(/@media print/g, "@media all").replace(/@media screen/g, "@media tty");
        frame.srcdoc = html;
        document.body.append(frame);
    });
const measure = async (page, html) => {
    let count = [0, 0];
    for (const [name, width, medium] of frames) {
        const [frame, doc] = await show(html, width, medium);
        where = page + "|" + name;
        under_all = ground(doc);
        if (forced(doc) !== (medium === "forced")) bad("forced colours " + (forced(doc) ? "on" : "off"));
        if (!doc.documentElement.lang) bad("no language");
        headings(doc);
        tables(doc);
        overflow(doc, medium);
        texts(doc);
        if (medium === "print") sizes(doc);
        const now = figures(doc, medium);
        if (medium !== "print") count = now;
        frame.remove();
    }
    findings.push("measured|" + page + "|" + count[0] + "|" + count[1]);
};
window.onload = async () => {
    try {
        for (const page of Object.keys(pages)) await measure(page, text_of(pages[page]));
        findings.push("end");
    } catch (error) {
        findings.push("broken|" + where + "|" + error);
    }
    const out = document.createElement("pre");
    out.id = "findings";
    out.textContent = findings.join("\n") + "\n";
    document.body.replaceChildren(out);
};
