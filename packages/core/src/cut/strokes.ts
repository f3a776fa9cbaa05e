/**
 * A stroke font of our own for marks and drawings: each sign is a few polylines on a grid 4 wide
 * and 6 high, origin bottom left. Corners are plain so that a 0.8 mm groove prints them; 6 and 9,
 * 1 and 7, 0 and O differ when seen upside down or worn. A comma reaches below the line.
 */
const GLYPHS: Readonly<Record<string, string>> = {
  '0': '1,0 3,0 4,1 4,5 3,6 1,6 0,5 0,1 1,0;1,1.5 3,4.5',
  '1': '1,4.5 2.5,6 2.5,0;1,0 4,0',
  '2': '0,5 1,6 3,6 4,5 4,4 0,0 4,0',
  '3': '0,6 4,6 2,3.5 3,3.5 4,2.5 4,1 3,0 1,0 0,1',
  '4': '3,0 3,6 0,2 4,2',
  '5': '4,6 0,6 0,3.5 3,3.5 4,2.5 4,1 3,0 1,0 0,1',
  '6': '3.5,6 1.5,5 0,2.5 0,1 1,0 3,0 4,1 4,2 3,3 1,3 0,2',
  '7': '0,6 4,6 1.5,0;1,3 3.5,3',
  '8': '1,0 3,0 4,1 4,2 3,3 1,3 0,4 0,5 1,6 3,6 4,5 4,4 3,3 1,3 0,2 0,1 1,0',
  '9': '4,4 3,3 1,3 0,4 0,5 1,6 3,6 4,5 4,3 3.5,0',
  A: '0,0 2,6 4,0;0.8,2.2 3.2,2.2',
  B: '0,0 0,6 3,6 4,5 4,4 3,3 0,3;3,3 4,2 4,1 3,0 0,0',
  C: '4,5 3,6 1,6 0,5 0,1 1,0 3,0 4,1',
  D: '0,0 0,6 2.5,6 4,4.5 4,1.5 2.5,0 0,0',
  E: '4,6 0,6 0,0 4,0;0,3 3,3',
  F: '4,6 0,6 0,0;0,3 3,3',
  G: '4,5 3,6 1,6 0,5 0,1 1,0 3,0 4,1 4,3 2.5,3',
  H: '0,0 0,6;4,0 4,6;0,3 4,3',
  I: '1,0 3,0;2,0 2,6;1,6 3,6',
  J: '0,1 1,0 2,0 3,1 3,6 1.5,6',
  K: '0,0 0,6;4,6 0,2.5;1.4,3.7 4,0',
  L: '0,6 0,0 4,0',
  M: '0,0 0,6 2,3 4,6 4,0',
  N: '0,0 0,6 4,0 4,6',
  O: '1,0 3,0 4,1 4,5 3,6 1,6 0,5 0,1 1,0',
  P: '0,0 0,6 3,6 4,5 4,4 3,3 0,3',
  Q: '1,0 3,0 4,1 4,5 3,6 1,6 0,5 0,1 1,0;2.5,1.5 4,0',
  R: '0,0 0,6 3,6 4,5 4,4 3,3 0,3;2,3 4,0',
  S: '0,1 1,0 3,0 4,1 4,2 3,3 1,3 0,4 0,5 1,6 3,6 4,5',
  T: '0,6 4,6;2,6 2,0',
  U: '0,6 0,1 1,0 3,0 4,1 4,6',
  V: '0,6 2,0 4,6',
  W: '0,6 1,0 2,3 3,0 4,6',
  X: '0,0 4,6;0,6 4,0',
  Y: '0,6 2,3 4,6;2,3 2,0',
  Z: '0,6 4,6 0,0 4,0',
  '-': '1,3 3,3',
  '\u2013': '0.5,3 3.5,3',
  '.': '1.8,0 2.2,0',
  '/': '0,0 4,6',
  '+': '0.5,3 3.5,3;2,1.5 2,4.5',
  ',': '2.2,0.8 2.2,0 1.6,-0.9',
  ':': '1.8,1 2.2,1;1.8,4 2.2,4',
  ';': '2.2,1.2 2.2,0.4 1.6,-0.5;1.8,4 2.2,4',
  "'": '2,6 2,4.6',
  '"': '1.2,6 1.2,4.6;2.8,6 2.8,4.6',
  '!': '2,6 2,2;1.8,0 2.2,0',
  '?': '0.5,5 1.5,6 3,6 3.8,5 3.8,4.2 2,2.8 2,2;1.8,0 2.2,0',
  '(': '3,6 1.8,4.5 1.8,1.5 3,0',
  ')': '1,6 2.2,4.5 2.2,1.5 1,0',
  '[': '3,6 1.5,6 1.5,0 3,0',
  ']': '1,6 2.5,6 2.5,0 1,0',
  _: '0,0 4,0',
  '=': '0.5,2.2 3.5,2.2;0.5,3.8 3.5,3.8',
  '<': '3.5,5 0.5,3 3.5,1',
  '>': '0.5,5 3.5,3 0.5,1',
  '*': '2,1.5 2,4.5;0.7,2.2 3.3,3.8;0.7,3.8 3.3,2.2',
  '#': '1,0.5 1.6,5.5;2.4,0.5 3,5.5;0.2,2.2 3.6,2.2;0.4,3.8 3.8,3.8',
  '%': '0,0 4,6;0.2,5 0.9,5.8 1.6,5 0.9,4.2 0.2,5;2.4,1 3.1,1.8 3.8,1 3.1,0.2 2.4,1',
  '&': '4,0 0.6,4.6 1.2,6 2.2,6 2.6,4.8 0.2,1.8 0.2,0.8 1,0 2.4,0 4,2.2',
  '@': '3,2.2 2,1.8 1.4,2.8 2,4 3,3.8 3,2.2 4,2.4 4,4.6 3,6 1,6 0,5 0,1 1,0 3,0',
  '\u00d7': '0.6,1.6 3.4,4.4;0.6,4.4 3.4,1.6',
  '\u00b0': '2,6 1.2,5.2 2,4.4 2.8,5.2 2,6',
};

/** Stands for a sign that the font lacks, so that nobody reads over it. */
const UNKNOWN = '0,0 4,0 4,6 0,6 0,0;0,0 4,6;0,6 4,0';

const HEIGHT = 6;

/**
 * Polylines of a short text, flat x, y, centred on the origin.
 * @param heightMm height of the capitals
 * @param advance width of a letter with the gap after it, in heights
 * Lower case is drawn as capitals, a letter with an accent as the plain one; a sign that the font
 * lacks becomes a crossed box.
 */
export function strokeText(text: string, heightMm: number, advance: number): number[][] {
  const scale = heightMm / HEIGHT;
  const signs = signsOf(text);
  const pitch = advance * heightMm;
  const width = textWidth(text, heightMm, advance);
  return signs.flatMap((sign, i) =>
    (sign === ' ' ? '' : (GLYPHS[sign] ?? UNKNOWN))
      .split(';')
      .filter(Boolean)
      .map((line) =>
        line.split(/[ ,]/).map((value, k) => {
          const at = Number(value) * scale;
          return k % 2 === 0 ? at + i * pitch - width / 2 : at - heightMm / 2;
        }),
      ),
  );
}

/** Length of a text from its first stroke to its last, mm; as `strokeText` draws it. */
export const textWidth = (text: string, heightMm: number, advance: number): number =>
  heightMm * (signsOf(text).length * advance - (advance - 4 / HEIGHT));

/** The signs drawn for a text, one cell each. */
const signsOf = (text: string): string[] => [
  ...text.toUpperCase().normalize('NFKD').replace(/\p{M}/gu, ''),
];

/** Signs that the font can draw. */
export const STROKE_SIGNS = Object.keys(GLYPHS).join('');
