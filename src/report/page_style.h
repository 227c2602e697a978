/* The style sheet of every page: ink on white, one dark accent that means nothing, weight and borders for severity.
 * In three pieces because C99 promises strings of 4095 bytes. Colours: #16202e on #fff 16:1, #414b59 8.8:1. */
#ifndef IOL_REPORT_PAGE_STYLE_H
#define IOL_REPORT_PAGE_STYLE_H

static const char *const iol_page_style[] = {
    /* Everywhere. */
    "<style>\n"
    ":root { color-scheme: light; --ink: #16202e; --soft: #414b59; --line: #c9ced6; --tint: #f2f4f7; }\n"
    "body { font: 16px/1.45 Arial, 'Liberation Sans', Helvetica, sans-serif; color: var(--ink); background: #fff; "
    "margin: 0; overflow-wrap: break-word; }\n"
    "main { max-width: 72rem; margin: 0 auto; padding: 1rem 1.25rem 3rem; }\n"
    "h1 { font-size: 1.45rem; line-height: 1.25; margin: 0.5rem 0 1rem; }\n"
    "h2 { font-size: 1.15rem; margin: 0 0 0.5rem; } h3 { font-size: 1rem; margin: 1.1rem 0 0.3rem; }\n"
    "section { display: flow-root; border-top: 2px solid var(--ink); margin: 1.6rem 0 0; padding-top: 0.5rem; }\n"
    "p { margin: 0.5rem 0; max-width: 50rem; } ul { margin: 0.5rem 0; padding-left: 1.2rem; max-width: 50rem; } "
    "li { margin: 0.15rem 0; }\n"
    "table { border-collapse: collapse; margin: 0.6rem 0; }\n"
    "th, td { text-align: left; vertical-align: top; padding: 0.15rem 1rem 0.15rem 0; }\n"
    "thead th { border-bottom: 1.5px solid var(--ink); vertical-align: bottom; }\n"
    "tbody th { font-weight: normal; } tbody tr + tr > * { border-top: 1px solid var(--line); }\n"
    "table.pairs th { color: var(--soft); width: 10.5em; }\n"
    "table.pairs tr + tr > * { border-top: 0; }\n"
    "th.number, td.number { text-align: right; font-variant-numeric: tabular-nums; } tbody .number, .short { "
    "white-space: nowrap; }\n"
    "#decision { background: var(--tint); padding: 0.6rem 0.9rem; } #decision td { font-weight: bold; }\n"
    "#decision tr:nth-child(n+3) td { font-weight: normal; }\n",
    /* Severities, folds, links, figures. */
    "p.caution { border: 1px solid var(--line); border-left: 0.3rem solid var(--line); padding: 0.3rem 0.7rem; }\n"
    "p.caution strong { text-transform: uppercase; margin-right: 0.4em; }\n"
    "p.warn { border-color: var(--ink); border-left-width: 0.3rem; }\n"
    "p.stop { border: 0.2rem solid var(--ink); border-left-width: 0.8rem; font-weight: bold; }\n"
    "p.stop strong { background: var(--ink); color: #fff; padding: 0.05em 0.5em; }\n"
    "details { margin: 0.5rem 0; } summary { color: var(--soft); cursor: pointer; }\n"
    "a { color: inherit; } p.alone a { border: 1px solid var(--ink); padding: 0.2rem 0.6rem; text-decoration: none; }\n"
    "p.left-out { color: var(--soft); }\n"
    "p.alone a.back { display: none; }\n"
    "body:has(section:target > p.alone) :is(section:not(:target), main > p.caution) { display: none; }\n"
    "section:target > p.alone a.show { display: none; } section:target > p.alone a.back { display: inline; }\n"
    "figure { margin: 0.6rem 0; max-width: 29rem; } figcaption { font-size: 0.85rem; color: var(--soft); }\n"
    "svg { display: block; width: 100%; height: auto; font: 8.5px Arial, 'Liberation Sans', Helvetica, sans-serif; "
    "fill: none; stroke: none; }\n"
    ".plain, .heavy, .dashed, .dotted { stroke: #16202e; stroke-width: 0.8; } .heavy { stroke-width: 2; }\n"
    ".dashed { stroke-dasharray: 5 3; } .dotted { stroke-dasharray: 1.5 2.5; }\n"
    ".faint { stroke: #6f7884; stroke-width: 0.5; }\n"
    ".paper { fill: #fff; } .shade { fill: #dde1e7; } .ink { fill: #16202e; }\n"
    "text { fill: #16202e; stroke: #fff; stroke-width: 2.5px; paint-order: stroke; stroke-linejoin: round; }\n"
    "text.middle { text-anchor: middle; } text.end { text-anchor: end; } text.axis { font-weight: bold; }\n"
    "@media (min-width: 62rem) { figure { float: right; width: 29rem; margin: 0 0 0.6rem 1.6rem; clear: right; } }\n"
    "@media (max-width: 40rem) { body { font-size: 15px; } main { padding: 0.5rem 0.7rem 2rem; } "
    "table:not(.pairs) { font-size: 0.75rem; } th, td { padding-right: 0.35rem; } "
    "th.number, td.number, .short { white-space: normal; } table.pairs th { width: 6.6em; padding-right: 0.6rem; } }\n",
    /* Paper: two columns, A4 or Letter. */
    "@page { margin: 8mm 9mm; }\n"
    "@media print {\n"
    "body { font-size: 8pt; line-height: 1.2; }\n"
    "main { max-width: none; padding: 0; columns: 2; column-gap: 5mm; }\n"
    "h1, main > p.caution { column-span: all; } h1 { font-size: 12pt; margin: 0 0 2mm; }\n"
    "h2 { font-size: 9.6pt; margin: 0 0 0.6mm; } h3 { font-size: 8.6pt; margin: 1.4mm 0 0.3mm; }\n"
    "h2, h3, thead, figcaption { break-after: avoid; } tr, p, li, figure, p.caution { break-inside: avoid; }\n"
    "section { display: block; margin: 2mm 0 0; padding-top: 0.6mm; border-top-width: 1pt; }\n"
    "p, ul, table, details { margin: 0.6mm 0; } ul { padding-left: 3mm; } li { margin: 0; }\n"
    "table { width: 100%; } th, td { padding: 0.1mm 1.3mm 0.1mm 0; } tbody tr + tr > * { border-top-width: 0.4pt; }\n"
    "table.pairs th { width: 23mm; } #counselling th { width: 14mm; }\n"
    "#decision { padding: 1mm 1.5mm; } p.caution { padding: 0.3mm 1.5mm; } p.caution:not(.stop, .warn) { border-width: "
    "0 0 0 0.8mm; padding: 0 1.5mm; }\n"
    "figure { margin: 0.8mm 0; max-width: none; } figcaption { font-size: 8pt; }\n"
    "summary::after { content: ': not printed; open it on screen, or take the text'; }\n"
    "p.alone { display: none; } thead { display: table-header-group; }\n"
    "body:has(section:target > p.alone) main { columns: 1; font-size: 10.5pt; line-height: 1.35; }\n"
    "}\n"
    "</style>\n"};

#endif
