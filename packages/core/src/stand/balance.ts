import { convexOutline } from '../hull/index.ts';
import { ScantlingError } from '../errors.ts';
import { degrees, STANDARD_GRAVITY } from '../units.ts';
import type { Vec3 } from '../math/index.ts';
import type { Balance } from './schema.ts';
import { centroid, tipOf, together, type Mass } from './tip.ts';
import { wantedOf, type LowPart } from './wanted.ts';

/** One placed body of the figure; z = 0 is the floor, or the upper face of the base plate. */
export interface StandingBody {
  readonly name: string;
  readonly group: string;
  readonly massG: number;
  readonly centreMm: Vec3;
  /** Points that bound it (hull vertices do), x, y, z, mm. */
  readonly points: Float64Array;
  /** Only for low parts that may be made heavier. */
  readonly low?: Omit<LowPart, 'massG' | 'at'>;
}

export interface BalanceOptions {
  /** Plate the figure is fixed to: its outline is the foot then. */
  readonly base?: { readonly outlineMm: readonly (readonly [number, number])[]; readonly massG: number; readonly heightMm: number } | undefined; // prettier-ignore
  readonly ceilingMm?: number | undefined;
  /** Where somebody may push, mm. Default: 0.818 of the height (shoulder, Drillis & Contini 1966, from memory). */
  readonly pushHeightMm?: number | undefined;
  /** Tip angle that is wanted, degrees. */
  readonly wantedDeg?: number | undefined;
  readonly unknown?: Balance['unknown'];
}

/** Points this close to the lowest one stand on the floor, mm. */
const FLOOR_MM = 1;
const SHOULDER = 0.818;

export const STANDING_CAUTION =
  'An estimate for a rigid figure on a firm, level floor. Fix a display figure to the building or a ' +
  'wide base wherever people, children, animals or wind can reach it: a child pulls and climbs, and ' +
  'wind pushes harder than a hand. Follow the rules of the place for structures and events.';

/**
 * Mass, centre, foot and steadiness of the standing figure. It tips over the edge of its foot that
 * is least steep under the centre of mass: tan(angle) = b / h, with b the distance of the centre
 * from that edge and h its height; a push F at the height z tips it when F z = m g b.
 * @throws ScantlingError `NO_FOOT` when nothing with an area touches the floor, `NO_MASS`
 */
export function balanceFigure(
  bodies: readonly StandingBody[],
  options: BalanceOptions = {},
): Balance {
  const { base } = options;
  const lift = base?.heightMm ?? 0;
  const floor = lowest(bodies);
  const foot = base
    ? convexOutline(base.outlineMm)
    : convexOutline(bodies.flatMap((b) => feet(b.points, floor + FLOOR_MM)));
  if (foot.length < 3)
    throw new ScantlingError('NO_FOOT', 'Nothing with an area stands on the floor.', {
      remedy: 'Check the places in the kit file, or give it a base.',
    });
  const placeOf = ({ centreMm: c }: StandingBody): Vec3 => [c[0], c[1], c[2] - floor + lift];
  const masses: Mass[] = bodies.map((b) => ({ g: b.massG, at: placeOf(b) }));
  if (base) masses.push({ g: base.massG, at: [...centroid(convexOutline(base.outlineMm)), lift / 2] }); // prettier-ignore
  const all = together(masses);
  if (!(all.g > 0)) throw new ScantlingError('NO_MASS', 'Nothing of the figure could be weighed.');

  const heightMm = lift + bodies.reduce((m, b) => Math.max(m, top(b.points) - floor), 0);
  const tip = tipOf(foot, all.at);
  const pushHeightMm = options.pushHeightMm ?? SHOULDER * heightMm;
  const groups = new Map<string, number>();
  for (const b of bodies) groups.set(b.group, (groups.get(b.group) ?? 0) + b.massG);
  if (base) groups.set('base', base.massG);
  const swing = swingHeight(bodies, foot, floor, lift);
  const { ceilingMm, wantedDeg } = options;
  const low = bodies.flatMap((b): LowPart[] => (b.low ? [{ ...b.low, massG: b.massG, at: placeOf(b) }] : [])); // prettier-ignore
  return {
    schema: 'scantling/balance@1',
    massG: all.g,
    massByGroup: [...groups].map(([group, massG]) => ({ group, massG })),
    heightMm,
    swingHeightMm: swing,
    ceiling: ceilingMm === undefined ? null : { mm: ceilingMm, stands: heightMm <= ceilingMm, raised: swing <= ceilingMm }, // prettier-ignore
    centreMm: [...all.at],
    footprintMm: foot.map((p) => [...p]),
    onItsFeet: tip.b > 0,
    tip: {
      angleDeg: degrees(tip.angle),
      towards: [...tip.towards],
      pushHeightMm,
      pushN: Math.max(0, ((all.g / 1000) * STANDARD_GRAVITY * tip.b) / pushHeightMm),
    },
    wanted: wantedDeg === undefined ? null : wantedOf(wantedDeg, foot, all, low, [...centroid(foot), lift / 2]), // prettier-ignore
    unknown: [...(options.unknown ?? [])],
    cautions: [STANDING_CAUTION],
  };
}

/** Height swept when the figure is raised over an edge of its foot; the most convenient edge. */
function swingHeight(
  bodies: readonly StandingBody[],
  foot: readonly (readonly [number, number])[],
  floor: number,
  lift: number,
): number {
  let least = Infinity;
  foot.forEach((p, i) => {
    const q = foot[(i + 1) % foot.length] ?? p;
    const l = Math.hypot(q[0] - p[0], q[1] - p[1]);
    const n = [(q[1] - p[1]) / l, (p[0] - q[0]) / l] as const;
    let most = foot.reduce((m, f) => Math.max(m, Math.abs(n[0] * (f[0] - p[0]) + n[1] * (f[1] - p[1]))), 0); // prettier-ignore
    for (const { points } of bodies)
      for (let k = 0; k < points.length; k += 3) {
        const across = n[0] * ((points[k] as number) - p[0]) + n[1] * ((points[k + 1] as number) - p[1]); // prettier-ignore
        most = Math.max(most, Math.hypot(across, (points[k + 2] as number) - floor + lift));
      }
    least = Math.min(least, most);
  });
  return least;
}

const lowest = (bodies: readonly StandingBody[]): number =>
  bodies.reduce((m, b) => {
    for (let k = 2; k < b.points.length; k += 3) m = Math.min(m, b.points[k] as number);
    return m;
  }, Infinity);

function top(points: Float64Array): number {
  let most = -Infinity;
  for (let k = 2; k < points.length; k += 3) most = Math.max(most, points[k] as number);
  return most;
}

function feet(points: Float64Array, below: number): [number, number][] {
  const out: [number, number][] = [];
  for (let k = 0; k < points.length; k += 3)
    if ((points[k + 2] as number) <= below) out.push([points[k] as number, points[k + 1] as number]); // prettier-ignore
  return out;
}
