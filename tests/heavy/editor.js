// editor.js FOLDER: what an editor's language service offers, says and marks in a case and a site that name the schemas in that folder.
"use strict";
const fs = require("fs"), path = require("path"), { pathToFileURL, fileURLToPath } = require("url");
const folder = path.resolve(process.argv[2]);
const modules = path.join(folder, "node_modules");
const { getLanguageService } = require(path.join(modules, "vscode-json-languageservice"));
const { TextDocument } = require(path.join(modules, "vscode-languageserver-textdocument"));
const service = getLanguageService({
    schemaRequestService: (uri) => fs.promises.readFile(fileURLToPath(uri), "utf8"),
    workspaceContext: { resolveRelativePath: (relative, resource) => new URL(relative, resource).toString() },
});
service.configure({ validate: true, allowComments: false });

const inCase = (rest) => `{ "$schema": "./case.schema.json", "case_format": 1, "case_ref": "A-1", "eye": "right", "reason": "power-error"${rest} }`;
const inSite = (rest) => `{ "$schema": "./site.schema.json", "site_format": 1${rest} }`;
// The cursor is |. says: part of the only message; offers: some of what is offered; tells: part of what stands beside the key.
const rows = [
    { text: inCase(""), says: null },
    { text: inCase(', "//": "a remark"'), says: null },
    { text: inCase(', "|": 1'), offers: ["biometry", "first_surgery", "target_se_d"], says: "not allowed" },
    { text: inCase(', "biometry": { "|axial_length_mm": 23.25 }'), offers: ["axial_length_mm", "k_flat_d"], tells: "axial length: 14 to 40 mm", says: null },
    { text: inCase(', "biometry": { "method": "|" }'), offers: ['"optical"', '"immersion-ultrasound"'], says: "not accepted" },
    { text: inCase(', "biometry": { "axial_length_mm": 2.325 }'), says: "below the minimum of 14" },
    { text: inCase(', "biometry": { "axial_lenght_mm": 23.25 }'), says: "axial_lenght_mm is not allowed" },
    { text: inCase(', "refractions": [ { "|sphere_d": 99 } ]'), offers: ["cylinder_d", "corrected_acuity_snellen"], says: "above the maximum of 40" },
    { text: inCase(', "refractions": [ { "sphere_d": "2" } ]'), says: "Incorrect type" },
    { text: inCase(', "assessed_on": "30.10.2025"'), says: "does not match the pattern" },
    { text: inCase(', "|assessed_on": "2025-10-30"'), tells: "day that intervals are counted to", says: null },
    { text: '{ "$schema": "./case.schema.json", "case_format": 1, "case_ref": "A-1", "eye": "right" }', says: 'Missing property "reason"' },
    { text: inSite(', "stock": [ { "|gtin": "02000000000077" } ]'), offers: ["lens_id", "power_d"], says: null },
    { text: inSite(', "stock": [ { "power_d": "23" } ]'), says: "Incorrect type" },
];

async function look(row) {
    const at = row.text.indexOf("|"), text = row.text.replace("|", "");
    const doc = TextDocument.create(pathToFileURL(path.join(folder, "new.json")).toString(), "json", 1, text);
    const tree = service.parseJSONDocument(doc);
    const said = (await service.doValidation(doc, tree)).map((d) => d.message);
    const wrong = [];
    if (row.says === null ? said.length > 0 : said.length !== 1 || !said[0].includes(row.says)) wrong.push(`says ${JSON.stringify(said)}`);
    if (row.offers) {
        const offered = (await service.doComplete(doc, doc.positionAt(at), tree)).items.map((i) => i.label);
        if (!row.offers.every((o) => offered.includes(o))) wrong.push(`offers ${offered.join(" ")}`);
    }
    if (row.tells) {
        const told = JSON.stringify(((await service.doHover(doc, doc.positionAt(at + 2), tree)) || {}).contents || "");
        if (!told.includes(row.tells)) wrong.push(`tells ${told}`);
    }
    for (const w of wrong) console.log(`FAILED editor: ${row.text}: it ${w}`);
    return wrong.length === 0;
}

(async () => {
    let good = true;
    for (const row of rows) good = (await look(row)) && good;
    if (good) console.log(`passed editor: ${rows.length} texts`);
    process.exit(good ? 0 : 1);
})();
