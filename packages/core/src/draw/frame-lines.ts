import type { Envelope } from '../envelope/index.ts';
import type { SpaceLine } from './draw-view.ts';
import type { View } from './view.ts';

/** Sides of the polygon that stands for a round plate. */
const ROUND = 72;

/** Outline of a plate, envelope frame, counter-clockwise, mm. */
export function plateOutline({ plate }: Envelope): [number, number][] {
  if (plate.shape === 'polygon') return plate.outlineMm.map(([x, y]) => [x, y]);
  if (plate.shape === 'round')
    return Array.from({ length: ROUND }, (_, i) => {
      const a = (2 * Math.PI * i) / ROUND;
      return [(plate.diameterMm / 2) * Math.cos(a), (plate.diameterMm / 2) * Math.sin(a)];
    });
  const [w, d] = [plate.widthMm / 2, plate.depthMm / 2];
  return [[-w, -d], [w, -d], [w, d], [-w, d]]; // prettier-ignore
}

/**
 * A build envelope as lines around a part, envelope frame. What would cross the picture in front
 * of the part is left away: the upright edge nearest to the eye and the top edges that meet it.
 */
export function envelopeLines(envelope: Envelope, view: View): SpaceLine[] {
  const outline = plateOutline(envelope);
  const n = outline.length;
  const h = envelope.heightMm;
  const at = (i: number, z: number): number[] => [...(outline[(i + n) % n] as number[]), z];
  const near = (i: number): number => {
    const [x, y] = outline[(i + n) % n] as [number, number];
    return x * view.toward[0] + y * view.toward[1];
  };
  const middle = outline.reduce((sum, _, i) => sum + near(i), 0) / n;
  const round = envelope.plate.shape === 'round';
  const lines: SpaceLine[] = [];
  for (let i = 0; i < n; i++) {
    lines.push({ kind: 'neighbour', points: [...at(i, 0), ...at(i + 1, 0)] });
    const side = Math.max(near(i), near(i + 1)) - middle;
    if (side < 0.98 * Math.max(...outline.map((_, k) => near(k) - middle)) && (!round || side <= 0))
      lines.push({ kind: 'neighbour', points: [...at(i, h), ...at(i + 1, h)] });
    const upright = round ? turnsSight(i) : nearest() !== i;
    if (upright) lines.push({ kind: 'neighbour', points: [...at(i, 0), ...at(i, h)] });
  }
  return lines;

  function nearest(): number {
    return outline.reduce((best, _, i) => (near(i) > near(best) + 1e-9 ? i : best), 0);
  }
  /** Where a round wall turns from the front to the back, its outline is seen. */
  function turnsSight(i: number): boolean {
    const right = (k: number): number => {
      const [x, y] = outline[(k + n) % n] as [number, number];
      return x * view.right[0] + y * view.right[1];
    };
    const steps = (right(i) - right(i - 1)) * (right(i + 1) - right(i));
    return steps < 0 || (steps === 0 && right(i) !== right(i - 1));
  }
}
