/**
 * Hidden stretches less what lies under visible ones or under one another: where lines fall
 * together the visible one is drawn (ISO 128: the order of priority of coinciding lines).
 * @param hidden x0, y0, x1, y1 each; `seen` alike
 * @param least shorter rests are left out
 */
export function notUnder(
  hidden: readonly number[],
  seen: readonly number[],
  least: number,
): number[] {
  let size = 1e-9;
  for (const v of hidden) size = Math.max(size, Math.abs(v));
  /** Per straight line, rounded, the stretches of it that are taken: from, to. */
  const taken = new Map<string, number[]>();
  const lineOf = (s: readonly number[], i: number): Line => {
    const [ax, ay, bx, by] = s.slice(i, i + 4) as [number, number, number, number];
    const flip = bx - ax < -1e-9 * size || (Math.abs(bx - ax) <= 1e-9 * size && by < ay) ? -1 : 1;
    const l = Math.hypot(bx - ax, by - ay) || 1;
    const ux = (flip * (bx - ax)) / l;
    const uy = (flip * (by - ay)) / l;
    const from = ax * ux + ay * uy;
    const to = bx * ux + by * uy;
    const off = ay * ux - ax * uy;
    return { ux, uy, off, from: Math.min(from, to), to: Math.max(from, to) };
  };
  const keyOf = (line: Line, da: number, dOff: number): string =>
    `${Math.round(Math.atan2(line.uy, line.ux) * 1e6) + da} ${Math.round((line.off / size) * 1e6) + dOff}`;
  const take = (line: Line): void => {
    const key = keyOf(line, 0, 0);
    const list = taken.get(key);
    if (list) list.push(line.from, line.to);
    else taken.set(key, [line.from, line.to]);
  };
  for (let i = 0; i < seen.length; i += 4) take(lineOf(seen, i));

  const out: number[] = [];
  for (let i = 0; i < hidden.length; i += 4) {
    const line = lineOf(hidden, i);
    const covers: [number, number][] = [];
    for (let da = -1; da <= 1; da++)
      for (let dOff = -1; dOff <= 1; dOff++) {
        const list = taken.get(keyOf(line, da, dOff)) ?? [];
        for (let k = 0; k < list.length; k += 2)
          covers.push([list[k] as number, list[k + 1] as number]);
      }
    covers.sort((a, b) => a[0] - b[0]);
    let at = line.from;
    const put = (to: number): void => {
      if (to - at < least) return;
      const x = (s: number): number => s * line.ux - line.off * line.uy;
      const y = (s: number): number => s * line.uy + line.off * line.ux;
      out.push(x(at), y(at), x(to), y(to));
    };
    for (const [from, to] of covers) {
      if (to <= at || from >= line.to) continue;
      put(from);
      at = Math.max(at, to);
    }
    put(line.to);
    take(line);
  }
  return out;
}

interface Line {
  readonly ux: number;
  readonly uy: number;
  readonly off: number;
  readonly from: number;
  readonly to: number;
}
