/** Segments joined end to end into as few polylines as the junctions allow, then thinned. */

/**
 * @param segments x0, y0, x1, y1 each
 * @param grid ends nearer than this count as one point
 * @returns polylines, flat x, y, in the order of their first segment
 */
export function chain(segments: readonly number[], grid: number): number[][] {
  const count = segments.length / 4;
  const nodes = new Map<string, number[]>();
  const key = (i: number, end: number): string => {
    const at = 4 * i + 2 * end;
    return `${Math.round((segments[at] as number) / grid)} ${Math.round((segments[at + 1] as number) / grid)}`;
  };
  const ends: string[] = [];
  for (let i = 0; i < count; i++)
    for (let end = 0; end < 2; end++) {
      const k = key(i, end);
      ends.push(k);
      const at = nodes.get(k);
      if (at) at.push(2 * i + end);
      else nodes.set(k, [2 * i + end]);
    }
  const used = new Uint8Array(count);
  /** Walks on from one end of a segment while exactly one other segment meets it there. */
  const walk = (from: number): number[] => {
    const line: number[] = [];
    let end = from;
    for (;;) {
      const at = nodes.get(ends[end] as string) as number[];
      if (at.length !== 2) return line;
      const next = (at[0] === end ? at[1] : at[0]) as number;
      const i = next >> 1;
      if (used[i]) return line;
      used[i] = 1;
      end = next ^ 1;
      line.push(segments[2 * end] as number, segments[2 * end + 1] as number);
    }
  };
  const lines: number[][] = [];
  for (let i = 0; i < count; i++) {
    if (used[i]) continue;
    used[i] = 1;
    const onward = walk(2 * i + 1);
    const back = walk(2 * i);
    const line: number[] = [];
    for (let k = back.length - 2; k >= 0; k -= 2)
      line.push(back[k] as number, back[k + 1] as number);
    for (let k = 0; k < 4; k++) line.push(segments[4 * i + k] as number);
    for (const v of onward) line.push(v);
    lines.push(line);
  }
  return lines;
}

/**
 * Leaves out points that lie within `tolerance` of the line through those that stay.
 * Method: Douglas and Peucker 1973.
 */
export function thin(line: readonly number[], tolerance: number): number[] {
  const n = line.length / 2;
  const keep = new Uint8Array(n);
  keep[0] = keep[n - 1] = 1;
  const stack = [0, n - 1];
  while (stack.length) {
    const to = stack.pop() as number;
    const from = stack.pop() as number;
    const ax = line[2 * from] as number;
    const ay = line[2 * from + 1] as number;
    const dx = (line[2 * to] as number) - ax;
    const dy = (line[2 * to + 1] as number) - ay;
    const l2 = dx * dx + dy * dy;
    let worst = -1;
    let most = tolerance * tolerance;
    for (let i = from + 1; i < to; i++) {
      const px = (line[2 * i] as number) - ax;
      const py = (line[2 * i + 1] as number) - ay;
      const s = l2 > 0 ? Math.max(0, Math.min(1, (px * dx + py * dy) / l2)) : 0;
      const d = (px - s * dx) ** 2 + (py - s * dy) ** 2;
      if (d > most) [most, worst] = [d, i];
    }
    if (worst < 0) continue;
    keep[worst] = 1;
    stack.push(from, worst, worst, to);
  }
  const out: number[] = [];
  for (let i = 0; i < n; i++)
    if (keep[i]) out.push(line[2 * i] as number, line[2 * i + 1] as number);
  return out;
}
