import { inflateSync } from 'node:zlib';

/** One stroked path of a page, in points from its lower left corner. */
export interface PdfPath {
  /** x, y of the corners; of a curve only its ends. */
  readonly points: readonly (readonly [number, number])[];
  readonly closed: boolean;
  readonly curved: boolean;
  readonly widthPt: number;
  /** x, y, width, height of the rectangle it is clipped to; null: the whole page. */
  readonly clip: readonly number[] | null;
}

export interface PdfPage {
  readonly widthPt: number;
  readonly heightPt: number;
  readonly paths: readonly PdfPath[];
}

/**
 * The pages of a PDF by its own numbers, read with nothing but zlib: page boxes, and what content
 * streams stroke after all their transformations (operators of ISO 32000-1, tables 51, 59, 60, 61).
 */
export function pdfPages(bytes: Uint8Array): PdfPage[] {
  const text = Buffer.from(bytes).toString('latin1');
  const boxes = [...text.matchAll(/\/MediaBox\s*\[([^\]]+)\]/g)].map((m) =>
    (m[1] as string).trim().split(/\s+/).map(Number),
  );
  const streams = [...text.matchAll(/stream\r?\n([\s\S]*?)\r?\nendstream/g)]
    .map((m) => Buffer.from(m[1] as string, 'latin1'))
    .map((raw) => (raw[0] === 0x78 ? inflateSync(raw) : raw).toString('latin1'))
    .filter((s) => / cm\s/.test(s));
  if (boxes.length !== streams.length)
    throw new Error(`${boxes.length} pages, ${streams.length} content streams`);
  return streams.map((stream, i) => {
    const [, , widthPt = 0, heightPt = 0] = boxes[i] as number[];
    return { widthPt, heightPt, paths: strokesOf(stream) };
  });
}

interface State {
  readonly m: readonly [number, number, number, number, number, number];
  readonly width: number;
  readonly clip: readonly number[] | null;
}

function strokesOf(stream: string): PdfPath[] {
  let state: State = { m: [1, 0, 0, 1, 0, 0], width: 1, clip: null };
  const stack: State[] = [];
  const out: PdfPath[] = [];
  let subpaths: { points: [number, number][]; closed: boolean; curved: boolean }[] = [];
  let box: number[] | null = null;
  let n: number[] = [];
  const at = (x: number, y: number): [number, number] => {
    const [a, b, c, d, e, f] = state.m;
    return [a * x + c * y + e, b * x + d * y + f];
  };
  const num = (k: number): number => {
    const v = n[k];
    if (v === undefined) throw new Error('an operand is missing');
    return v;
  };
  const path = () => subpaths.at(-1) as (typeof subpaths)[0];
  const operators: Readonly<Record<string, () => void>> = {
    q: () => stack.push(state),
    Q: () => (state = stack.pop() as State),
    cm: () => {
      const [a, b, c, d, e, f] = state.m;
      const [p, q, r, s, t, u] = [0, 1, 2, 3, 4, 5].map(num) as [number, number, number, number, number, number]; // prettier-ignore
      state = { ...state, m: [p * a + q * c, p * b + q * d, r * a + s * c, r * b + s * d, t * a + u * c + e, t * b + u * d + f] }; // prettier-ignore
    },
    w: () => (state = { ...state, width: num(0) }),
    J: () => undefined,
    j: () => undefined,
    m: () => subpaths.push({ points: [at(num(0), num(1))], closed: false, curved: false }),
    l: () => path().points.push(at(num(0), num(1))),
    c: () => {
      path().points.push(at(num(4), num(5)));
      path().curved = true;
    },
    h: () => (path().closed = true),
    re: () => {
      const [x, y] = at(num(0), num(1));
      const [x1, y1] = at(num(0) + num(2), num(1) + num(3));
      box = [x, y, x1 - x, y1 - y];
    },
    W: () => (state = { ...state, clip: box }),
    n: () => (subpaths = []),
    S: () => {
      const scale = Math.sqrt(Math.abs(state.m[0] * state.m[3] - state.m[1] * state.m[2]));
      for (const p of subpaths) out.push({ ...p, widthPt: state.width * scale, clip: state.clip });
      subpaths = [];
    },
  };
  for (const token of stream.split(/\s+/).filter(Boolean)) {
    if (/^[-+.\d]/.test(token)) {
      n.push(Number(token));
      continue;
    }
    const run = operators[token];
    if (!run) throw new Error(`the operator ${token} was not expected on a sheet`);
    run();
    n = [];
  }
  return out;
}
