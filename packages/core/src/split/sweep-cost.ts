import { dot, type Vec3 } from '../math/index.ts';
import { STANDARD_GRAVITY } from '../units.ts';
import { featureInterval } from './features.ts';
import { hiddenOutline } from './hidden.ts';
import { zoneInterval, zonesWithin } from './keep.ts';
import { isPlain } from './plain.ts';
import type { Leaf, Task } from './leaf.ts';
import type { Segments } from './segments.ts';
import type { Sweep } from './sweep.ts';

/** What a cut's cost is reckoned from in the search. */
export interface Face {
  readonly normal: Vec3;
  readonly offsetMm: number;
  /** Outline on the skin, and the part of it that is seen, mm. */
  readonly lengthMm: number;
  readonly seenMm: number;
  readonly areaMm2: number;
  /** Cut face with less than the least thickness behind it, mm2. */
  readonly sliverMm2: number;
  /** Volume of the lighter side, and how far its centre is from the cut. */
  readonly lighterMm3: number;
  readonly armMm: number;
  /** |difference of both sides' volumes| / sum. */
  readonly imbalance: number;
}

/**
 * Cost of one cut, mm of seam: the terms of a plan's cost, as far as sums over facets can tell.
 * The section modulus is taken as area^2 / (2 x outline), which a solid round section meets
 * exactly. Small features and keep zones are left to the caller.
 */
export function faceCost(f: Face, task: Task): number {
  const { weights: w, leastThicknessMm, densityGPerCm3 } = task.settings;
  let cost = w.seam * f.lengthMm + w.asymmetry * mirrorsBroken(f.normal, f.offsetMm, task);
  if (task.seenFrom) cost += w.seenSeam * f.seenMm;
  if (!isPlain(f.normal, task.candidates.plain)) cost += w.oddAngle;
  if (!(f.areaMm2 > 0)) return cost;
  const wall = f.lengthMm > 0 ? (2 * f.areaMm2) / f.lengthMm : 0;
  cost += w.thinWall * Math.max(0, leastThicknessMm - wall);
  cost += w.sliver * f.sliverMm2;
  const modulus = f.areaMm2 ** 2 / (2 * f.lengthMm);
  const stress = bendingStress(f.lighterMm3, f.armMm, modulus, densityGPerCm3);
  return cost + w.stress * Math.min(MOST_STRESS, stress) + w.imbalance * f.imbalance;
}

/** Cost of a cut at every offset, mm of seam; infinite where a keep zone forbids it. */
export function sweepCosts(s: Sweep, leaf: Leaf, task: Task): Float64Array {
  const n = s.offsetsMm.length;
  const pitch = (s.highMm - s.lowMm) / (n + 1);
  const area = (k: number): number => Math.max(0, s.areaMm2[k] ?? 0);
  const total = s.areaMm2.reduce((sum, a) => sum + Math.max(0, a), 0);
  const first = s.areaMm2.reduce((sum, a, k) => sum + Math.max(0, a) * k, 0);
  const blocked = zonesWithin(task.keep, leaf.within).map((z) => zoneInterval(z, s.normal));
  const rims = task.features.map((f) => featureInterval(f, s.normal));
  const share = Math.min(1, pitch > 0 ? task.settings.leastThicknessMm / pitch : 1);
  let volume = 0;
  let moment = 0;
  return Float64Array.from(s.offsetsMm, (t, k) => {
    const a = area(k);
    volume += a;
    moment += a * k;
    if (blocked.some(([low, high]) => t > low && t < high)) return Infinity;
    const beside = Math.max(0, a - area(k - 1)) + Math.max(0, a - area(k + 1));
    const arm =
      volume * 2 < total
        ? k - moment / Math.max(volume, 1e-9)
        : (first - moment) / Math.max(total - volume, 1e-9) - k;
    const cost = faceCost(
      {
        normal: s.normal,
        offsetMm: t,
        lengthMm: s.lengthMm[k] as number,
        seenMm: s.seenMm[k] as number,
        areaMm2: a,
        sliverMm2: share * beside,
        lighterMm3: Math.min(volume, total - volume) * pitch,
        armMm: Math.max(0, arm * pitch),
        imbalance: Math.abs(1 - (2 * volume) / total),
      },
      task,
    );
    const cut = rims.filter(([low, high]) => t > low && t < high).length;
    return cost + task.settings.weights.feature * cut;
  });
}

/** What a cut's cost comes down by where its outline runs round holes, mm of seam. */
export function hiddenRelief(segments: Segments, task: Task): number {
  const { weights: w } = task.settings;
  const hidden = hiddenOutline(segments);
  return w.seam * hidden.lengthMm + (task.seenFrom ? w.seenSeam * hidden.seenMm : 0);
}

/** Mirror planes that a cut breaks; one beside its plane may yet get a partner and counts half. */
function mirrorsBroken(normal: Vec3, offsetMm: number, task: Task): number {
  let broken = 0;
  for (const mirror of task.candidates.mirrors) {
    const c = dot(normal, mirror.normal);
    if (Math.abs(c) < 1e-6) continue;
    if (Math.abs(c) < 1 - 1e-9) broken++;
    else if (Math.abs(offsetMm - Math.sign(c) * mirror.offsetMm) > 1e-6 * (1 + Math.abs(offsetMm)))
      broken += 0.5;
  }
  return broken;
}

/** Beyond this a glue line gives way in any case, MPa: common practice, no source. */
export const MOST_STRESS = 5;

/**
 * Bending stress in a joint from which a body of that volume hangs out level, MPa: weight times
 * the distance of its centre from the joint, over the section modulus.
 */
export function bendingStress(
  volumeMm3: number,
  armMm: number,
  modulusMm3: number,
  densityGPerCm3: number,
): number {
  const weightN = volumeMm3 * 1e-6 * densityGPerCm3 * STANDARD_GRAVITY;
  return modulusMm3 > 0 ? (weightN * armMm) / modulusMm3 : 0;
}
