/**
 * Decimal numbers straight from bytes: no locale, no strings in the usual case. Up to 15 digits
 * with a power of ten up to 22 are one correctly rounded operation on exact doubles (Clinger 1990,
 * "How to read floating point numbers accurately"); anything longer goes through `Number`.
 */
const POWERS = Float64Array.from({ length: 23 }, (_, i) => Number(`1e${i}`));
const MOST_EXACT = 900_719_925_474_098; // one more digit stays below 2^53

/** @returns the number written in bytes [from, to), or NaN if they are not a finite-looking decimal. */
export function parseDecimal(bytes: Uint8Array, from: number, to: number): number {
  let i = from;
  let c = bytes[i] as number;
  const negative = c === 45;
  if (negative || c === 43) i++;
  let mantissa = 0;
  let digits = 0;
  let scale = 0;
  for (; i < to; i++) {
    c = bytes[i] as number;
    if (c < 48 || c > 57) break;
    if (mantissa > MOST_EXACT) return slowDecimal(bytes, from, to);
    mantissa = mantissa * 10 + (c - 48);
    digits++;
  }
  if (i < to && c === 46) {
    for (i++; i < to; i++) {
      c = bytes[i] as number;
      if (c < 48 || c > 57) break;
      if (mantissa > MOST_EXACT) return slowDecimal(bytes, from, to);
      mantissa = mantissa * 10 + (c - 48);
      digits++;
      scale--;
    }
  }
  if (digits === 0) return NaN;
  if (i < to) {
    if ((c | 32) !== 101) return NaN;
    i++;
    c = bytes[i] as number;
    const minus = c === 45;
    if (i < to && (minus || c === 43)) i++;
    if (i >= to) return NaN;
    let exponent = 0;
    for (; i < to; i++) {
      c = bytes[i] as number;
      if (c < 48 || c > 57) return NaN;
      exponent = exponent * 10 + (c - 48);
      if (exponent > 9999) return slowDecimal(bytes, from, to);
    }
    scale += minus ? -exponent : exponent;
  }
  let value = mantissa;
  if (scale < 0) {
    if (scale < -22) return slowDecimal(bytes, from, to);
    value = mantissa / (POWERS[-scale] as number);
  } else if (scale > 0) {
    if (scale > 22) return slowDecimal(bytes, from, to);
    value = mantissa * (POWERS[scale] as number);
  }
  return negative ? -value : value;
}

/** Where the word that `decimalWord` read last ends. */
export let wordEnd = 0;

/**
 * The number in the word that begins at `from`; the word's end is found on the way and left in
 * `wordEnd`. A blank must follow the word. As `parseDecimal`, but each byte is looked at once.
 */
export function decimalWord(bytes: Uint8Array, from: number): number {
  let i = from;
  let c = bytes[i] as number;
  const negative = c === 45;
  if (negative) c = bytes[++i] as number;
  const first = i;
  let mantissa = 0;
  while (c >= 48 && c <= 57) {
    mantissa = mantissa * 10 + (c - 48);
    c = bytes[++i] as number;
  }
  let digits = i - first;
  let scale = 0;
  if (c === 46) {
    const point = i;
    c = bytes[++i] as number;
    while (c >= 48 && c <= 57) {
      mantissa = mantissa * 10 + (c - 48);
      c = bytes[++i] as number;
    }
    scale = point + 1 - i;
    digits -= scale;
  }
  if ((c | 32) === 101) {
    c = bytes[++i] as number;
    const minus = c === 45;
    if (minus || c === 43) c = bytes[++i] as number;
    const from = i;
    let exponent = 0;
    while (c >= 48 && c <= 57) {
      exponent = exponent * 10 + (c - 48);
      c = bytes[++i] as number;
    }
    // No digits, or so many that they are for the slow way.
    if (i === from || i > from + 3) digits = 0;
    scale += minus ? -exponent : exponent;
  }
  if (c <= 32 && digits > 0 && digits <= 15 && scale >= -22 && scale <= 22) {
    wordEnd = i;
    const value = scale < 0 ? mantissa / (POWERS[-scale] as number) : mantissa * (POWERS[scale] as number); // prettier-ignore
    return negative ? -value : value;
  }
  while ((bytes[i] as number) > 32) i++;
  wordEnd = i;
  return parseDecimal(bytes, from, i);
}

const DECIMAL = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i;

function slowDecimal(bytes: Uint8Array, from: number, to: number): number {
  const text = textOf(bytes, from, to);
  return DECIMAL.test(text) ? Number(text) : NaN;
}

/** The bytes as Latin letters, for error messages and the rare long number; at most 1000 of them. */
export function textOf(bytes: Uint8Array, from: number, to: number): string {
  let text = '';
  for (let i = from; i < Math.min(to, from + 1000); i++) text += String.fromCharCode(bytes[i] as number); // prettier-ignore
  return text;
}

/** Words that programs write where a number went wrong: nan, inf, -infinity, 1.#QNAN, 1.#INF. */
export const isNotFiniteWord = (word: string): boolean =>
  /^[+-]?(nan(\(.*\))?|inf(inity)?|1\.#\w+|-nan)$/i.test(word);
