// Unpacks what the page carries folded up (RFC 1951), so that it stays small also as one file. Works in every browser.

const LENGTHS = [3, 4, 5, 6, 7, 8, 9, 10, 11, 13, 15, 17, 19, 23, 27, 31, 35, 43, 51, 59, 67, 83, 99, 115, 131, 163, 195, 227, 258];
const LENGTH_BITS = [0, 0, 0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 2, 3, 3, 3, 3, 4, 4, 4, 4, 5, 5, 5, 5, 0];
const BACK = [1, 2, 3, 4, 5, 7, 9, 13, 17, 25, 33, 49, 65, 97, 129, 193, 257, 385, 513, 769, 1025, 1537, 2049, 3073, 4097, 6145,
  8193, 12289, 16385, 24577];
const BACK_BITS = BACK.map((_, place) => Math.max(0, (place >> 1) - 1));
const ORDER = [16, 17, 18, 0, 8, 7, 9, 6, 10, 5, 11, 4, 12, 3, 13, 2, 14, 1, 15];

/** The codes of one alphabet: how many there are of each length, and their symbols in order. */
const codes = (lengths) => {
  const count = new Uint16Array(16);
  for (const length of lengths) count[length] += 1;
  count[0] = 0;
  const symbols = [];
  for (let length = 1; length < 16; length += 1) lengths.forEach((own, symbol) => own === length && symbols.push(symbol));
  return { count, symbols };
};

const FIXED = [
  codes(Array.from({ length: 288 }, (_, n) => (n < 144 ? 8 : n < 256 ? 9 : n < 280 ? 7 : 8))),
  codes(Array.from({ length: 30 }, () => 5)),
];

const makeReader = (bytes) => {
  let at = 0, kept = 0, left = 0;
  const bits = (wanted) => {
    while (left < wanted) {
      kept |= bytes[at++] << left;
      left += 8;
    }
    const value = kept & ((1 << wanted) - 1);
    kept >>>= wanted;
    left -= wanted;
    return value;
  };
  const symbol = ({ count, symbols }) => {
    let code = 0, first = 0, index = 0;
    for (let length = 1; length < 16; length += 1) {
      code |= bits(1);
      if (code - count[length] < first) return symbols[index + code - first];
      index += count[length];
      first = (first + count[length]) << 1;
      code <<= 1;
    }
    throw new Error("The packed part of this page is damaged.");
  };
  const plain = () => {
    kept = left = 0;
    const length = bytes[at] | (bytes[at + 1] << 8);
    at += 4 + length;
    return bytes.subarray(at - length, at);
  };
  return { bits, symbol, plain };
};

const ownCodes = ({ bits, symbol }) => {
  const literals = bits(5) + 257, backs = bits(5) + 1, orders = bits(4) + 4;
  const lengths = new Array(19).fill(0);
  for (let place = 0; place < orders; place += 1) lengths[ORDER[place]] = bits(3);
  const short = codes(lengths);
  const all = [];
  while (all.length < literals + backs) {
    const found = symbol(short);
    if (found < 16) all.push(found);
    else if (found === 16) all.push(...new Array(3 + bits(2)).fill(all.at(-1)));
    else all.push(...new Array(found === 17 ? 3 + bits(3) : 11 + bits(7)).fill(0));
  }
  return [codes(all.slice(0, literals)), codes(all.slice(literals))];
};

const inflate = (bytes, size) => {
  const reader = makeReader(bytes);
  const out = new Uint8Array(size);
  let end = 0, last = 0;
  while (!last) {
    last = reader.bits(1);
    const kind = reader.bits(2);
    if (kind === 0) {
      const part = reader.plain();
      out.set(part, end);
      end += part.length;
      continue;
    }
    const [literals, backs] = kind === 1 ? FIXED : ownCodes(reader);
    for (let found = reader.symbol(literals); found !== 256; found = reader.symbol(literals)) {
      if (found < 256) {
        out[end++] = found;
        continue;
      }
      const length = LENGTHS[found - 257] + reader.bits(LENGTH_BITS[found - 257]);
      const place = reader.symbol(backs);
      const from = end - BACK[place] - reader.bits(BACK_BITS[place]);
      for (let step = 0; step < length; step += 1) out[end++] = out[from + step];
    }
  }
  return out;
};

const DIGITS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz!#$%,()*+-;.=/?@^_`{|}~";

/** Bytes from base 85: five digits for every four bytes, fewer at the end. */
const bytesOf = (text) => {
  const value = new Map([...DIGITS].map((digit, place) => [digit, place]));
  const bytes = new Uint8Array(Math.floor((text.length * 4) / 5));
  for (let at = 0, end = 0; at < text.length; at += 5) {
    let number = 0;
    for (let place = 0; place < 5; place += 1) number = number * 85 + (value.get(text[at + place]) ?? 84);
    for (let shift = 24; shift >= 0 && end < bytes.length; shift -= 8) bytes[end++] = (number / 2 ** shift) & 255;
  }
  return bytes;
};

/** The value that haleward.render.page_pack folded into a text. */
export function unpack(text) {
  const [size, data] = text.split(":");
  return JSON.parse(new TextDecoder().decode(inflate(bytesOf(data), Number(size))));
}
