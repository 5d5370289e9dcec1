// check.mjs DIR: looks at every page of a finished folder; a line for each fault, and exit code 1 if there is any.
import { checkFolder } from './pages.mjs';

const folder = process.argv[2];
const { pages, faults } = await checkFolder(folder);
for (const { page, fault, what } of faults) console.log(`${page}: ${fault}: ${what}`);
console.log(`${pages} pages in ${folder}, ${faults.length} faults`);
process.exit(pages > 0 && faults.length === 0 ? 0 : 1);
