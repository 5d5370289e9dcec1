// credentials.mjs: runs the published and computed vectors of tests/reference/credentials against the very script that
// checks certificates in the browser. A line for each that comes out otherwise, and exit code 1 if there is any.
import { readFileSync } from 'node:fs';
import vm from 'node:vm';

const script = readFileSync('themes/plain/pages/check-certificate.js', 'utf8');
// As in a browser, without its page: the script is run as it stands, and nothing of Node is within its reach.
const check = vm.runInNewContext(script + '\ncertificateCheck', {});

const folder = 'tests/reference/credentials/';
const text = (file) => readFileSync(folder + file, 'utf8');
const bytes = (hex) => hex.match(/../g)?.map((pair) => parseInt(pair, 16)) ?? [];
const hex = (list) => list.map((byte) => byte.toString(16).padStart(2, '0')).join('');

/// The rows of a table, by heading. Cells in quotes hold commas and doubled quotes, no line breaks.
function rows(file) {
  const cells = (line) => [...line.matchAll(/(?:^|,)(?:"((?:[^"]|"")*)"|([^,]*))/g)].map(([, quoted, plain]) => quoted?.replaceAll('""', '"') ?? plain);
  const [head, ...body] = text(file).trimEnd().split('\n').map(cells);
  return body.map((row) => Object.fromEntries(head.map((name, at) => [name, row[at]])));
}

let faults = 0, asked = 0;
function same(what, found, expected) {
  asked++;
  if (found === expected) return;
  faults++;
  console.log(`${what}: ${found} and not ${expected}`);
}
function verdict(what, give) {
  try { return String(give()); } catch (error) {
    if (error.reason === undefined) throw error;
    return error.reason;
  }
}

for (const row of rows('ed25519.csv')) {
  same(row.id, String(check.verifies(bytes(row.public_key_hex), bytes(row.message_hex), bytes(row.signature_hex))), row.expect_verify);
}
for (const row of rows('jcs.csv')) {
  const canonical = check.canonical(check.read(text(row.input_file)));
  same(row.id, canonical, text(row.expected_file).replace(/\n$/, ''));
  same(row.id + ' hash', hex(check.sha2(check.SHA_256, check.utf8(canonical))), row.expected_sha256);
}
for (const row of rows('jcs_numbers.csv').filter((row) => row.expected !== 'ERROR')) {
  const number = new DataView(new Uint8Array(bytes(row.ieee754_hex)).buffer).getFloat64(0);
  same(row.id, check.canonical(number), row.expected);
}
for (const row of rows('multikey.csv')) {
  same(row.id, hex(check.multikey(row.publicKeyMultibase)), row.public_key_hex);
  same(row.id + ' secret', check.multikey(row.secretKeyMultibase), null);
}
for (const row of rows('multibase.csv').filter((row) => row.encoding.startsWith('base58btc'))) {
  const decode = row.encoding.endsWith('decode') ? /'(.*)'/.exec(row.note)[1] : null;
  if (decode !== null) same(row.id, check.multibase('z' + decode), null);
  else same(row.id, hex(check.multibase(row.encoding === 'base58btc' ? row.expected : 'z' + row.expected)), row.input_hex);
}
for (const row of rows('eddsa_jcs_2022.csv')) {
  const found = verdict(row.id, () => check.verify(check.read(text(row.signed_file))));
  same(row.id, found, row.expect_verify === 'true' ? row.publicKeyMultibase : 'signature-wrong');
  if (row.unsigned_file) {
    const hash = (file) => hex(check.sha2(check.SHA_256, check.utf8(check.canonical(check.read(text(file))))));
    same(row.id + ' document', hash(row.unsigned_file), row.doc_hash);
    same(row.id + ' proof', hash(row.proof_config_file), row.proof_hash);
  }
}
for (const row of rows('check_characters.csv').filter((row) => row.system === 'MOD 37-2')) {
  // Of the bodies there, those that have the form of a certificate's number.
  if (!/^[2-9CDFGHJKMNPQRTVWXY]{8}$/.test(row.full)) continue;
  same(row.id, String(check.number(row.full) !== null), String(row.valid === 'yes'));
}

// The code on paper: base45 by the examples of RFC 9285, sections 4.3 and 4.4, and by what section 6 refuses.
for (const [plain, written] of [['AB', 'BB8'], ['Hello!!', '%69 VD92EX0'], ['base-45', 'UJCLQE7W581'], ['ietf!', 'QED8WEX0']]) {
  same(`base45 of ${plain}`, hex(check.base45(written)), hex(check.utf8(plain)));
}
for (const written of ['GGW', ':::', '::', 'B', 'BB8B', 'bb8']) same(`base45 ${written}`, check.base45(written), null);

// Codes of the demo, as tests/it/codes.rs gives them: the record that comes out is the one that went in.
const demo = JSON.parse(readFileSync('tests/browser/codes.json', 'utf8'));
const occasions = check.occasionsOf(vm.runInNewContext('(' + JSON.stringify(demo.page) + ')', {}));
const ofDemo = { keys: [...new Set(occasions.map((occasion) => occasion.key))], withdrawn: new Set(), replaced: new Map(), occasions, today: '2026-06-01' };
for (const { code, link, whole, record } of demo.cases) {
  for (const [at, given] of [code, link, whole, ` ${code}\r\n`].entries()) {
    const parts = check.packed(given);
    const occasion = parts.occasion ?? occasions.find((occasion) => occasion.id === parts.id);
    same(`code ${code.slice(0, 12)} ${at}`, check.canonical(check.rebuilt(parts, occasion)), record);
    const verdict = check.check(given, ofDemo);
    same(`verdict on ${code.slice(0, 12)} ${at}`, `${verdict.kind} ${verdict.said?.holder}`, `good ${JSON.parse(record).credentialSubject.identifier[0].identityHash}`);
  }
  same('without the occasion', check.check(code, { ...ofDemo, occasions: [] }).kind, 'code-unknown');
  same('all words, without the occasion', check.check(whole, { ...ofDemo, occasions: [] }).kind, 'good');
  same('of another program', check.check(whole, { ...ofDemo, keys: [] }).kind, 'other-key');
}
// Every letter of one code read as another: none of them is good.
{
  const [{ code, link }] = demo.cases;
  for (const text of [code, link]) {
    const from = text === code ? 3 : text.indexOf('#z') + 2;
    for (let at = from; at < text.length; at += 5) {
      const other = text.slice(0, at) + (text[at] === 'A' ? 'B' : 'A') + text.slice(at + 1);
      same(`letter ${at}`, String(['code-unread', 'code-unknown', 'signature-wrong'].includes(check.check(other, ofDemo).kind)), 'true');
    }
    same('cut short', check.check(text.slice(0, -3), ofDemo).kind, 'code-unread');
  }
}

// Records that end, signed here by the way of eddsa-jcs-2022 (W3C Data Integrity EdDSA Cryptosuites 1.0, section 3.3) with a
// key of this run: by `validUntil` of the record (VC Data Model 2.0, 4.9), by `expires` of its proof (Data Integrity 1.0,
// 2.1), and with the proof by itself and in a list.
const { createHash, generateKeyPairSync, sign } = await import('node:crypto');
{
  const { privateKey, publicKey } = generateKeyPairSync('ed25519');
  const base58 = bytes => {
    const letters = '123456789ABCDEFGHJKLMNPQRSTUVWXYZabcdefghijkmnopqrstuvwxyz';
    let rest = BigInt('0x' + Buffer.from(bytes).toString('hex')), said = '';
    for (; rest > 0n; rest /= 58n) said = letters[Number(rest % 58n)] + said;
    return 'z' + said;
  };
  const own = base58([0xed, 0x01, ...Buffer.from(publicKey.export({ format: 'jwk' }).x, 'base64url')]);
  const sha256 = document => createHash('sha256').update(check.canonical(check.read(JSON.stringify(document)))).digest();
  const { proof: given, ...document } = JSON.parse(readFileSync(folder + 'eddsa-jcs-2022/own-1/signed.json', 'utf8'));
  const record = (ends, proofEnds, isList) => {
    const unsigned = { ...document, ...ends };
    const { proofValue, ...options } = { ...given, verificationMethod: `did:key:${own}#${own}`, ...proofEnds };
    const signature = sign(null, Buffer.concat([sha256(options), sha256(unsigned)]), privateKey);
    const proof = { ...options, proofValue: base58(signature) };
    return JSON.stringify({ ...unsigned, proof: isList ? [proof] : proof });
  };
  const on = today => ({ keys: [own], withdrawn: new Set(), replaced: new Map(), occasions: [], today });
  const ends = { validUntil: '2032-05-16T23:59:59Z' }, sooner = { expires: '2032-05-01T00:00:00Z' };
  for (const isList of [false, true]) for (const [record_, today, kind, until] of [
    [record({}, {}, isList), '2099-01-01', 'good', undefined],
    [record(ends, {}, isList), '2032-05-16', 'good', '2032-05-16'],
    [record(ends, {}, isList), '2032-05-17', 'over', '2032-05-16'],
    [record({}, sooner, isList), '2032-05-01', 'good', '2032-05-01'],
    [record({}, sooner, isList), '2032-05-02', 'over', '2032-05-01'],
    // The sooner of two counts.
    [record(ends, sooner, isList), '2032-05-02', 'over', '2032-05-01'],
    // An end that was moved is no longer what was signed.
    [record(ends, {}, isList).replace('2032-05-16', '2042-05-16'), '2032-05-17', 'signature-wrong', undefined],
    [record({}, sooner, isList).replace('2032-05-01', '2042-05-01'), '2032-05-17', 'signature-wrong', undefined],
  ]) {
    const found = check.check(record_, on(today));
    same(`a record that ends, on ${today}${isList ? ', proof in a list' : ''}`, `${found.kind} ${found.said?.until || undefined}`, `${kind} ${until}`);
  }
}

// One message of each length about a block, by SHA-512 of FIPS 180-4 as Node has it.
for (let length = 0; length < 260; length++) {
  const message = Array.from({ length }, (_, at) => (at * 7 + length) % 256);
  same(`SHA-512 of ${length}`, hex(check.sha2(check.SHA_512, message)), createHash('sha512').update(Buffer.from(message)).digest('hex'));
}

// What a reader may put in.
const key = rows('eddsa_jcs_2022.csv').find((row) => row.id === 'own-1');
const known = (more = {}) => ({ keys: [key.publicKeyMultibase], withdrawn: new Set(), replaced: new Map(), occasions: [], today: '2026-06-01', ...more });
const signed = text(key.signed_file), tampered = text('eddsa-jcs-2022/own-1/tampered.json');
const kinds = [
  [signed, known(), 'good'],
  ['\ufeff' + JSON.stringify(JSON.parse(signed)) + '\r\n', known(), 'good'],
  [signed, known({ keys: [] }), 'other-key'],
  [tampered, known(), 'signature-wrong'],
  [signed.slice(0, -40), known(), 'not-json'],
  ['', known(), 'empty'],
  ['JRHY-4P87', known(), 'number-right'],
  [' jrhy 4p87 ', known(), 'number-right'],
  ['JRHY-4P78', known(), 'number-wrong'],
  ['JRHY-4P87', known({ withdrawn: new Set(['JRHY4P87']) }), 'number-withdrawn'],
  ['JRHY-4P87', known({ replaced: new Map([['JRHY4P87', '6H4TPXW6']]) }), 'number-replaced'],
  ['Trail Rider Stewards 2026\nNorth Camp\n2026-05-16\nJRHY-4P87', known(), 'number-right'],
  ['{"a":1,"a":2}                  ', known(), 'doubled'],
  ['{"a":12345678901234567890}     ', known(), 'number-too-long'],
  ['['.repeat(5000), known(), 'too-deep'],
  ['{"a":"' + 'a'.repeat(70000) + '"}', known(), 'too-large'],
  ['{"type":["VerifiableCredential"]}', known(), 'not-a-record'],
  ['no record and no number, but words', known(), 'not-json'],
];
for (const [given, program, kind] of kinds) same(JSON.stringify(given.slice(0, 40)), check.check(given, program).kind, kind);

console.log(`${asked} answers of the page that checks certificates, ${faults} otherwise than expected`);
process.exit(faults === 0 && asked >= 600 ? 0 : 1);
