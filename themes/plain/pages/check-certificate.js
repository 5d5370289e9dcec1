// Checks a certificate without asking anybody: reads its signed record, or rebuilds it from the code on its paper and
// what the page knows of the occasion; verifies the signature, and holds it against what the page knows of its program
// (public keys, numbers withdrawn or replaced).
//
// Written out in full, with no part of the browser that is missing from a page opened as a file: JSON read
// strictly, its canonical form (RFC 8785), SHA-256 and SHA-512 (FIPS 180-4), Ed25519 (RFC 8032), and the
// W3C's eddsa-jcs-2022. It judges signatures as `packstring certificates check` does; the reference vectors
// of that are run against this very file.
'use strict';

const certificateCheck = (() => {

  // ---- JSON that cannot be read in two ways ----

  const MOST_BYTES = 64 * 1024;
  const MOST_DEPTH = 127;

  class Refused extends Error {
    constructor(reason, detail = '') { super(reason + (detail ? ': ' + detail : '')); this.reason = reason; this.detail = detail; }
  }

  function read(text) {
    if (utf8(text).length > MOST_BYTES) throw new Refused('too-large');
    const json = text.replace(/^\uFEFF/, '').trim();
    let at = 0;
    const broken = () => new Refused('not-json');
    const space = () => { while (at < json.length && ' \t\n\r'.includes(json[at])) at++; };
    const token = (pattern) => {
      pattern.lastIndex = at;
      const found = pattern.exec(json);
      if (!found) throw broken();
      at = pattern.lastIndex;
      return found[0];
    };
    const string = () => {
      const value = JSON.parse(token(/"(?:[^"\\\u0000-\u001f]|\\(?:["\\/bfnrt]|u[0-9a-fA-F]{4}))*"/y));
      // Half of a letter that takes two.
      if (/[\ud800-\udfff]/u.test(value)) throw broken();
      return value;
    };
    const number = () => {
      const written = token(/-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?/y);
      const value = Number(written);
      if (!Number.isFinite(value)) throw broken();
      if (/^-?[0-9]+$/.test(written) && !Number.isSafeInteger(value)) throw new Refused('number-too-long');
      return value;
    };
    const value = (depth) => {
      if (depth > MOST_DEPTH) throw new Refused('too-deep');
      space();
      switch (json[at]) {
        case '{': return object(depth);
        case '[': return array(depth);
        case '"': return string();
        case 't': token(/true/y); return true;
        case 'f': token(/false/y); return false;
        case 'n': token(/null/y); return null;
        default: return number();
      }
    };
    const members = (end, member) => {
      at++;
      space();
      if (json[at] === end) { at++; return; }
      for (;;) {
        member();
        space();
        const next = json[at++];
        if (next === end) return;
        if (next !== ',') throw broken();
        space();
      }
    };
    const array = (depth) => {
      const items = [];
      members(']', () => items.push(value(depth + 1)));
      return items;
    };
    const object = (depth) => {
      const map = new Map();
      members('}', () => {
        const name = string();
        space();
        if (json[at++] !== ':') throw broken();
        if (map.has(name)) throw new Refused('doubled', name);
        map.set(name, value(depth + 1));
      });
      return map;
    };
    const whole = value(1);
    space();
    if (at !== json.length) throw broken();
    return whole;
  }

  /// The canonical form: names in the order of their UTF-16 units, texts and numbers as this language has them.
  function canonical(value) {
    if (Array.isArray(value)) return '[' + value.map(canonical).join(',') + ']';
    if (value instanceof Map) {
      const names = [...value.keys()].sort((a, b) => (a < b ? -1 : a > b ? 1 : 0));
      return '{' + names.map((name) => JSON.stringify(name) + ':' + canonical(value.get(name))).join(',') + '}';
    }
    return JSON.stringify(value);
  }

  function utf8(text) {
    const bytes = [];
    for (const letter of text) {
      const code = letter.codePointAt(0);
      if (code < 0x80) bytes.push(code);
      else if (code < 0x800) bytes.push(0xc0 | code >> 6, 0x80 | code & 63);
      else if (code < 0x10000) bytes.push(0xe0 | code >> 12, 0x80 | code >> 6 & 63, 0x80 | code & 63);
      else bytes.push(0xf0 | code >> 18, 0x80 | code >> 12 & 63, 0x80 | code >> 6 & 63, 0x80 | code & 63);
    }
    return bytes;
  }

  // ---- SHA-2 (FIPS 180-4) ----

  // Both hashes take their constants from the roots of the first primes: of the square roots where they start,
  // of the cube roots for each round.
  const PRIMES = [];
  for (let n = 2; PRIMES.length < 80; n++) if (PRIMES.every((prime) => n % prime)) PRIMES.push(n);

  /// The greatest whole number whose `power`th power is not above `value`.
  function root(value, power) {
    let low = 0n, high = 1n << 140n;
    while (low < high) {
      const middle = low + high + 1n >> 1n;
      if (middle ** power <= value) low = middle; else high = middle - 1n;
    }
    return low;
  }
  const fraction = (prime, power) => root(BigInt(prime) << 64n * power, power) & (1n << 64n) - 1n;
  const START = PRIMES.slice(0, 8).map((prime) => fraction(prime, 2n));
  const ROUNDS = PRIMES.map((prime) => fraction(prime, 3n));

  const SHA_512 = { size: 64n, rounds: 80, big: [[28n, 34n, 39n], [14n, 18n, 41n]], small: [[1n, 8n, 7n], [19n, 61n, 6n]] };
  const SHA_256 = { size: 32n, rounds: 64, big: [[2n, 13n, 22n], [6n, 11n, 25n]], small: [[7n, 18n, 3n], [17n, 19n, 10n]] };

  function sha2(kind, message) {
    const { size, rounds, big, small } = kind;
    const mask = (1n << size) - 1n, word = Number(size / 8n), block = word * 16;
    const turn = (x, by) => (x >> by | x << size - by) & mask;
    const mix = (x, [a, b, c]) => turn(x, a) ^ turn(x, b) ^ turn(x, c);
    const shift = (x, [a, b, c]) => turn(x, a) ^ turn(x, b) ^ x >> c;
    const round = ROUNDS.slice(0, rounds).map((constant) => constant >> 64n - size);
    let state = START.map((constant) => constant >> 64n - size);
    const bytes = [...message, 0x80];
    while (bytes.length % block !== block - 2 * word) bytes.push(0);
    const bits = BigInt(message.length) * 8n;
    for (let n = 2 * word - 1; n >= 0; n--) bytes.push(Number(bits >> BigInt(8 * n) & 255n));
    for (let start = 0; start < bytes.length; start += block) {
      const w = [];
      for (let n = 0; n < 16; n++) {
        let value = 0n;
        for (let b = 0; b < word; b++) value = value << 8n | BigInt(bytes[start + n * word + b]);
        w.push(value);
      }
      for (let n = 16; n < rounds; n++) w.push(w[n - 16] + shift(w[n - 15], small[0]) + w[n - 7] + shift(w[n - 2], small[1]) & mask);
      let [a, b, c, d, e, f, g, h] = state;
      for (let n = 0; n < rounds; n++) {
        const one = h + mix(e, big[1]) + (e & f ^ (e ^ mask) & g) + round[n] + w[n];
        const two = mix(a, big[0]) + (a & b ^ a & c ^ b & c);
        [h, g, f, e, d, c, b, a] = [g, f, e, d + one & mask, c, b, a, one + two & mask];
      }
      state = [a, b, c, d, e, f, g, h].map((value, n) => state[n] + value & mask);
    }
    return state.flatMap((value) => Array.from({ length: word }, (_, n) => Number(value >> BigInt(8 * (word - 1 - n)) & 255n)));
  }

  // ---- Ed25519 (RFC 8032, section 5.1) ----

  const P = (1n << 255n) - 19n;
  const L = (1n << 252n) + 27742317777372353535851937790883648493n;
  const modulo = (x) => { const rest = x % P; return rest < 0n ? rest + P : rest; };
  function power(base, exponent) {
    let result = 1n;
    for (base = modulo(base); exponent > 0n; exponent >>= 1n, base = base * base % P) if (exponent & 1n) result = result * base % P;
    return result;
  }
  const D = modulo(-121665n * power(121666n, P - 2n));
  const ROOT_OF_MINUS_ONE = power(2n, (P - 1n) / 4n);

  // Points in extended coordinates: x = X / Z, y = Y / Z, T = X · Y / Z.
  const NEUTRAL = [0n, 1n, 1n, 0n];
  function add([x1, y1, z1, t1], [x2, y2, z2, t2]) {
    const a = modulo((y1 - x1) * (y2 - x2)), b = modulo((y1 + x1) * (y2 + x2));
    const c = modulo(2n * D * t1 * t2), d = modulo(2n * z1 * z2);
    const e = b - a, f = d - c, g = d + c, h = b + a;
    return [modulo(e * f), modulo(g * h), modulo(f * g), modulo(e * h)];
  }
  function times(scalar, point) {
    let sum = NEUTRAL;
    for (; scalar > 0n; scalar >>= 1n, point = add(point, point)) if (scalar & 1n) sum = add(sum, point);
    return sum;
  }
  const same = ([x1, y1, z1], [x2, y2, z2]) => modulo(x1 * z2 - x2 * z1) === 0n && modulo(y1 * z2 - y2 * z1) === 0n;

  const little = (bytes) => bytes.reduceRight((value, byte) => value << 8n | BigInt(byte), 0n);

  /// The point that 32 bytes stand for, or null.
  function point(bytes) {
    const value = little(bytes), sign = value >> 255n, y = value & (1n << 255n) - 1n;
    if (y >= P) return null;
    const u = modulo(y * y - 1n), v = modulo(D * y * y + 1n);
    let x = modulo(u * v ** 3n * power(u * v ** 7n, (P - 5n) / 8n));
    const square = modulo(v * x * x);
    if (square !== u) {
      if (square !== modulo(-u)) return null;
      x = modulo(x * ROOT_OF_MINUS_ONE);
    }
    if (x === 0n && sign === 1n) return null;
    if ((x & 1n) !== sign) x = modulo(-x);
    return [x, y, 1n, modulo(x * y)];
  }
  const weak = (it) => same(times(8n, it), NEUTRAL);
  const BASE = point([0x58, ...Array(31).fill(0x66)]);

  /// Whether the signature is that key's over the message; strict, as the record's maker is.
  function verifies(key, message, signature) {
    if (key.length !== 32 || signature.length !== 64) return false;
    const a = point(key), r = point(signature.slice(0, 32)), s = little(signature.slice(32));
    if (!a || !r || s >= L || weak(a) || weak(r)) return false;
    const k = little(sha2(SHA_512, [...signature.slice(0, 32), ...key, ...message])) % L;
    return same(times(s, BASE), add(r, times(k, a)));
  }

  // ---- Multibase and Multikey ----

  const DIGITS = '123456789ABCDEFGHJKLMNPQRSTUVWXYZabcdefghijkmnopqrstuvwxyz';

  /// The bytes of a text in base58btc after its prefix `z`, or null.
  function multibase(text) {
    if (typeof text !== 'string' || text[0] !== 'z' || text.length > 201) return null;
    let value = 0n;
    for (const digit of text.slice(1)) {
      const worth = DIGITS.indexOf(digit);
      if (worth < 0) return null;
      value = value * 58n + BigInt(worth);
    }
    const bytes = [];
    for (; value > 0n; value >>= 8n) bytes.unshift(Number(value & 255n));
    for (let n = 1; text[n] === '1'; n++) bytes.unshift(0);
    return bytes;
  }

  /// The 32 bytes of an Ed25519 key that is written `z6Mk…`, or null.
  function multikey(text) {
    const bytes = multibase(text);
    return bytes && bytes.length === 34 && bytes[0] === 0xed && bytes[1] === 0x01 ? bytes.slice(2) : null;
  }

  // ---- The proof and the record ----

  const member = (value, ...path) => path.reduce((it, name) => (it instanceof Map ? it.get(name) : Array.isArray(it) ? it[name] : undefined), value);
  const texts = (value) => (Array.isArray(value) ? value : []);

  /// The Multikey of who signed a document, where the signature fits.
  function verify(document) {
    if (!(document instanceof Map)) throw new Refused('not-a-record');
    const proofs = document.get('proof');
    if (proofs === undefined) throw new Refused('no-signature');
    if (Array.isArray(proofs) && proofs.length > 1) throw new Refused('signature-unknown');
    const proof = Array.isArray(proofs) ? proofs[0] : proofs;
    if (!(proof instanceof Map)) throw new Refused('no-signature');
    const known = { type: 'DataIntegrityProof', cryptosuite: 'eddsa-jcs-2022', proofPurpose: 'assertionMethod' };
    for (const [name, value] of Object.entries(known)) if (proof.get(name) !== value) throw new Refused('signature-unknown');
    const [did, fragment, more] = String(proof.get('verificationMethod')).split('#');
    const key = did.startsWith('did:key:') ? did.slice(8) : '';
    const bytes = multikey(key);
    if (!bytes || fragment !== key || more !== undefined) throw new Refused('signature-unknown');
    const signature = multibase(proof.get('proofValue'));
    if (!signature) throw new Refused('signature-wrong');

    const options = new Map(proof), unsigned = new Map(document);
    options.delete('proofValue');
    unsigned.delete('proof');
    if (proof.has('@context')) {
      // A context in the proof must be what the document's starts with; it is the one that was signed.
      const own = proof.get('@context'), all = document.get('@context');
      const first = Array.isArray(own) && Array.isArray(all) ? all.slice(0, own.length) : all;
      if (first === undefined || canonical(first) !== canonical(own)) throw new Refused('signature-wrong');
      unsigned.set('@context', own);
    }
    const hash = (part) => sha2(SHA_256, utf8(canonical(part)));
    if (!verifies(bytes, [...hash(options), ...hash(unsigned)], signature)) throw new Refused('signature-wrong');
    return key;
  }

  /// What a record says and who signed it.
  const record = (text) => recordOf(read(text));
  function recordOf(document) {
    if (!(document instanceof Map)) throw new Refused('not-a-record');
    const types = texts(document.get('type'));
    const badge = types.includes('OpenBadgeCredential') || types.includes('AchievementCredential');
    const subject = document.get('credentialSubject');
    const said = (...path) => { const value = member(document, ...path); return typeof value === 'string' ? value : ''; };
    if (!badge || !types.includes('VerifiableCredential') || !said('credentialSubject', 'achievement', 'name') || !said('validFrom')) {
      throw new Refused('not-a-record');
    }
    const key = verify(document);
    const identity = texts(member(subject, 'identifier')).find((it) => member(it, 'identityType') === 'name' && member(it, 'hashed') === false);
    const name = member(identity, 'identityHash');
    const day = (time) => time.split('T')[0];
    // One proof may stand by itself or in a list. Days in this form stand in the order of their letters.
    const expires = said('proof', 0, 'expires') || said('proof', 'expires');
    const until = [said('validUntil'), expires].filter(Boolean).map(day).sort()[0];
    return {
      key,
      until: until || '',
      number: said('credentialSubject', 'licenseNumber'),
      holder: typeof name === 'string' ? name : '',
      narrative: said('credentialSubject', 'narrative'),
      title: said('name'),
      achievement: said('credentialSubject', 'achievement', 'name'),
      description: said('credentialSubject', 'achievement', 'description'),
      agency: said('issuer', 'name'),
      date: day(said('validFrom')),
    };
  }

  // ---- The code on paper: a record in few bytes ----

  const BASE45 = '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:';

  /// The bytes of a text in base45 (RFC 9285), or null.
  function base45(text) {
    const bytes = [];
    for (let at = 0; at < text.length; at += 3) {
      const digits = [...text.slice(at, at + 3)].map((letter) => BASE45.indexOf(letter));
      if (digits.length === 1 || digits.includes(-1)) return null;
      const value = digits.reduceRight((sum, digit) => sum * 45 + digit, 0);
      if (value >= (digits.length === 3 ? 65536 : 256)) return null;
      if (digits.length === 3) bytes.push(value >> 8);
      bytes.push(value & 255);
    }
    return bytes;
  }

  /// The bytes of a text in base58btc without its prefix, or null.
  function base58(text) {
    let value = 0n;
    for (const digit of text) {
      const worth = DIGITS.indexOf(digit);
      if (worth < 0) return null;
      value = value * 58n + BigInt(worth);
    }
    const bytes = [];
    for (; value > 0n; value >>= 8n) bytes.push(Number(value & 255n));
    for (let n = 0; text[n] === '1'; n++) bytes.push(0);
    return bytes.reverse();
  }

  /// The text of UTF-8, or null where it is none.
  function ofUtf8(bytes) {
    try {
      return decodeURIComponent(bytes.map((byte) => '%' + byte.toString(16).padStart(2, '0')).join(''));
    } catch {
      return null;
    }
  }

  const ofLink = (text) => /^https?:\/\/[^#]*#z([0-9A-Za-z]*)$/.exec(text.trim())?.[1];
  const looksLikeCode = (text) => text.trim().startsWith('PS:') || ofLink(text) !== undefined;

  /// What a code says, from its text or from the address in it.
  function packed(text) {
    if (text.length > 8000) throw new Refused('too-large');
    const linked = ofLink(text);
    const bytes = linked === undefined ? base45(text.trim().slice(3)) : base58(linked);
    const found = bytes && unpacked(bytes);
    if (!found) throw new Refused('code-unread');
    return found;
  }

  /// The parts of a code, or null where its bytes are no code's.
  function unpacked(bytes) {
    let at = 0, sound = true;
    const take = (count) => {
      const part = bytes.slice(at, at + count);
      if (part.length < count) sound = false;
      at += count;
      return part;
    };
    const text = () => {
      let [length] = take(1);
      if (length >= 128) {
        const [high] = take(1);
        if (!(high > 0 && high < 128)) sound = false;
        length = (length & 127) + high * 128;
      }
      const words = sound ? ofUtf8(take(length)) : null;
      if (words === null) sound = false;
      return words;
    };
    const day = () => {
      const [high, low, month, date] = take(4);
      if (!high && !low && !month && !date) return null;
      const two = (value) => String(value).padStart(2, '0');
      return String((high << 8) + low).padStart(4, '0') + '-' + two(month) + '-' + two(date);
    };
    const [version] = take(1);
    let id = null, occasion = null;
    if (version === 1) {
      id = take(4).map((byte) => byte.toString(16).padStart(2, '0')).join('');
    } else if (version === 2) {
      const key = multikeyOf(take(32)), date = day(), until = day();
      occasion = { agency: text(), title: text(), achievement: text(), description: text(), criteria: text(), key, date, until };
    } else {
      return null;
    }
    const plain = numberOf(take(5)), holder = text(), companion = text(), signature = take(64);
    return sound && plain && at === bytes.length ? { id, occasion, number: plain, holder, companion, signature } : null;
  }

  /// base58btc after its prefix.
  function multibaseOf(bytes) {
    let value = bytes.reduce((sum, byte) => sum << 8n | BigInt(byte), 0n), text = '';
    for (; value > 0n; value /= 58n) text = DIGITS[Number(value % 58n)] + text;
    for (let n = 0; bytes[n] === 0; n++) text = '1' + text;
    return 'z' + text;
  }
  const multikeyOf = (bytes) => multibaseOf([0xed, 0x01, ...bytes]);

  /// A name that follows from its parts, as a record has it: a UUID of version 8 (RFC 9562) out of SHA-256.
  function nameOf(parts) {
    const bytes = utf8('packstring credential 1\n');
    for (const part of parts) {
      const own = utf8(part);
      for (let n = 7n; n >= 0n; n--) bytes.push(Number(BigInt(own.length) >> 8n * n & 255n));
      bytes.push(...own);
    }
    const id = sha2(SHA_256, bytes).slice(0, 16);
    id[6] = id[6] & 0x0f | 0x80;
    id[8] = id[8] & 0x3f | 0x80;
    const hex = id.map((byte) => byte.toString(16).padStart(2, '0')).join('');
    return 'urn:uuid:' + [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-');
  }

  const mapOf = (value) => {
    if (Array.isArray(value)) return value.map(mapOf);
    if (value === null || typeof value !== 'object') return value;
    return new Map(Object.entries(value).map(([name, of]) => [name, mapOf(of)]));
  };

  /// The record that a code was made from, where `occasion` is the one it was given for.
  function rebuilt(code, occasion) {
    const context = ['https://www.w3.org/ns/credentials/v2', 'https://purl.imsglobal.org/spec/ob/v3p0/context-3.0.3.json'];
    const { agency, title, achievement, description, criteria, key, date, until } = occasion;
    const number = code.number.slice(0, 4) + '-' + code.number.slice(4);
    const did = 'did:key:' + key;
    const subject = {
      type: ['AchievementSubject'],
      achievement: {
        id: nameOf(['achievement', agency, achievement, description]),
        type: ['Achievement'],
        name: achievement,
        description,
        criteria: { narrative: criteria },
      },
      identifier: [{ type: 'IdentityObject', hashed: false, identityHash: code.holder, identityType: 'name' }],
      licenseNumber: number,
    };
    if (code.companion) subject.narrative = 'With ' + code.companion + '.';
    const record = {
      '@context': context,
      id: nameOf(['certificate', key, number]),
      type: ['VerifiableCredential', 'OpenBadgeCredential'],
      issuer: { id: did, type: ['Profile'], name: agency },
      validFrom: date + 'T00:00:00Z',
      name: title,
      credentialSubject: subject,
      proof: [{
        type: 'DataIntegrityProof',
        cryptosuite: 'eddsa-jcs-2022',
        verificationMethod: did + '#' + key,
        proofPurpose: 'assertionMethod',
        '@context': context,
        proofValue: multibaseOf(code.signature),
      }],
    };
    if (until) record.validUntil = until + 'T23:59:59Z';
    return mapOf(record);
  }

  /// What the record of a code says; `occasions` are those that the page knows.
  function recordOfCode(text, occasions) {
    const code = packed(text);
    const meant = code.occasion ? [code.occasion] : occasions.filter((occasion) => occasion.id === code.id);
    if (meant.length === 0) throw new Refused('code-unknown');
    let last;
    for (const occasion of meant) {
      try {
        return recordOf(rebuilt(code, occasion));
      } catch (error) {
        if (!(error instanceof Refused)) throw error;
        last = error;
      }
    }
    throw last;
  }

  /// Occasions as the page's data has them: words once, and rows that point to them.
  function occasionsOf({ words, occasions }) {
    return occasions.map(([id, agency, title, achievement, description, criteria, key, date, until]) => ({
      id, agency: words[agency], title: words[title], achievement: words[achievement], description: words[description],
      criteria: words[criteria], key: words[key], date, until,
    }));
  }

  // ---- Numbers ----

  const LETTERS = '23456789CDFGHJKMNPQRTVWXY';
  const VALUES = '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*';

  /// A number without its hyphen, where its check character fits (ISO/IEC 7064 MOD 37-2); else null.
  function number(given) {
    const plain = given.replace(/[\s\u2010-\u2013-]/g, '').toUpperCase();
    if (plain.length !== 8 || [...plain].some((letter) => !LETTERS.includes(letter))) return null;
    let rest = 0;
    for (const letter of plain.slice(0, 7)) rest = (rest + VALUES.indexOf(letter)) * 2 % 37;
    return (rest + VALUES.indexOf(plain[7])) % 37 === 1 ? plain : null;
  }

  /// The number in five bytes, or null.
  function numberOf(bytes) {
    let value = bytes.reduce((sum, byte) => sum * 256 + byte, 0), body = '';
    for (let n = 0; n < 7; n++) {
      body = LETTERS[value % 25] + body;
      value = Math.floor(value / 25);
    }
    if (value !== 0) return null;
    for (const check of LETTERS) if (number(body + check)) return body + check;
    return null;
  }

  /// Whether a text is meant as a number and not as a record.
  const looksLikeNumber = (text) => !looksLikeCode(text) && text.trim().length <= 24 && !/[{}[\]"]/.test(text);

  /// The verdict on a text: `kind`, and what the record says where there is one. `known` is what is known of
  /// the program: `keys` (Multikeys), `withdrawn` (a Set of numbers), `replaced` (a Map of numbers to newer ones),
  /// `occasions`, and `today`, 2026-06-01.
  function check(text, known) {
    if (!text.trim()) return { kind: 'empty' };
    const last = text.trim().split('\n').pop();
    if (looksLikeNumber(text) || (!text.includes('{') && number(last))) {
      const plain = number(last);
      if (!plain) return { kind: 'number-wrong' };
      if (known.replaced.has(plain)) return { kind: 'number-replaced', by: known.replaced.get(plain) };
      return { kind: known.withdrawn.has(plain) ? 'number-withdrawn' : 'number-right' };
    }
    try {
      const said = looksLikeCode(text) ? recordOfCode(text, known.occasions) : record(text);
      const plain = number(said.number);
      if (!known.keys.includes(said.key)) return { kind: 'other-key', said };
      if (plain && known.replaced.has(plain)) return { kind: 'replaced', by: known.replaced.get(plain), said };
      if (plain && known.withdrawn.has(plain)) return { kind: 'withdrawn', said };
      return { kind: said.until && said.until < known.today ? 'over' : 'good', said };
    } catch (error) {
      if (error instanceof Refused) return { kind: error.reason };
      throw error;
    }
  }

  return { read, canonical, utf8, sha2, SHA_256, SHA_512, verifies, multibase, multikey, verify, record, number, base45, packed, rebuilt, occasionsOf, check, Refused };
})();

// ---- The page ----

if (typeof document !== 'undefined') {
  const part = (name) => document.getElementById('check.' + name);
  const data = part('known').dataset;
  const list = (text) => text.split(' ').filter(Boolean);
  const known = {
    keys: list(data.keys),
    withdrawn: new Set(list(data.withdrawn)),
    replaced: new Map(list(data.replaced).map((pair) => pair.split('='))),
    occasions: certificateCheck.occasionsOf(JSON.parse(data.occasions)),
    get today() {
      const now = new Date(), two = (value) => String(value).padStart(2, '0');
      return now.getFullYear() + '-' + two(now.getMonth() + 1) + '-' + two(now.getDate());
    },
  };
  const printed = (number) => number.slice(0, 4) + '-' + number.slice(4);
  const words = (name) => part('words').querySelector('[data-word="' + name + '"]').textContent;
  const made = (tag, text) => { const it = document.createElement(tag); it.textContent = text; return it; };

  const show = (verdict) => {
    const result = part('result');
    const sentence = words(verdict.kind)
      .replace('{number}', verdict.by ? printed(verdict.by) : '')
      .replace('{date}', verdict.said ? verdict.said.until : '');
    const good = verdict.kind === 'good' || verdict.kind === 'number-right';
    const line = made('p', sentence);
    line.className = 'verdict ' + (good ? 'good' : 'not');
    result.replaceChildren(line);
    if (!verdict.said) return;
    const said = document.createElement('dl');
    const rows = [
      ['holder', verdict.said.holder], ['companion', verdict.said.narrative], ['title', verdict.said.title],
      ['achievement', [verdict.said.achievement, verdict.said.description].filter(Boolean).join('. ')],
      ['date', verdict.said.date], ['until', verdict.said.until], ['agency', verdict.said.agency], ['number', verdict.said.number],
    ];
    for (const [name, value] of rows) if (value) said.append(made('dt', words('says-' + name)), made('dd', value));
    result.append(said);
  };

  part('form').addEventListener('submit', (event) => {
    event.preventDefault();
    show(certificateCheck.check(part('text').value, known));
  });
  part('file').addEventListener('change', async () => {
    const file = part('file').files[0];
    if (!file) return;
    if (file.size > 1024 * 1024) return show({ kind: 'too-large' });
    const text = await file.text();
    part('text').value = file.size > 64 * 1024 ? '' : text;
    show(certificateCheck.check(text, known));
  });
  part('form').hidden = false;

  // The code on a certificate may be a link to this page, with what is to be checked after #. That stays here too.
  const linked = () => {
    if (!/^#z/.test(location.hash)) return;
    part('text').value = location.href;
    show(certificateCheck.check('https://localhost/' + location.hash, known));
  };
  addEventListener('hashchange', linked);
  linked();
}
