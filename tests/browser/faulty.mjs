// Makes a page with every fault that pages.mjs looks for, and fails unless each of them is told.
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { checkFolder } from './pages.mjs';

const FAULTY = `<!doctype html>
<html>
<head><meta charset="utf-8"><title></title>
<style>a, button { outline: none !important; } .faint { color: #999; }</style>
<link rel="stylesheet" href="missing.css">
<script src="https://elsewhere.example/x.js"></script>
<script>console.error('broken');</script>
</head>
<body><main><h1>Faulty</h1>
<img src="data:image/gif;base64,R0lGODlhAQABAAAAACw=">
<p class="faint">Too faint to be read.</p>
<p><a href="#nowhere">A link to nothing</a> <a href="lost.html">A lost page</a></p>
<div style="width: 900px">Wider than a telephone.</div>
<div role="button" onclick="1">No key reaches this</div>
<!-- ${'x'.repeat(110_000)} -->
</main></body></html>
`;

const folder = fs.mkdtempSync(path.join(os.tmpdir(), 'faulty-'));
fs.writeFileSync(path.join(folder, 'index.html'), FAULTY);
const { faults } = await checkFolder(folder);
fs.rmSync(folder, { recursive: true });
const told = new Set(faults.map(({ fault }) => fault));
const wanted = ['html', 'wcag', 'contrast', 'too-wide', 'missing', 'elsewhere', 'console', 'focus', 'keyboard', 'link', 'too-heavy'];
const missed = wanted.filter(fault => !told.has(fault));
if (missed.length) {
  console.error(`tests/browser: the faulty page passed in ${missed.join(', ')}, so the check does not check.`);
  process.exit(1);
}
