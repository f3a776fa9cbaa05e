import { loopArea, loopLength } from '../mesh/index.ts';
import type { FlatKernel, Loops } from '../solid/index.ts';
import { extrusionSpeed, linePitchMm, lineSectionMm2, moveTimeS } from './material.ts';
import type { EstimateSettings } from './settings.ts';
import type { Slices } from './slices.ts';

/** What one layer holds and how long it takes. Areas in mm2, times in s. */
export interface Layer {
  readonly wallMm2: number;
  readonly skinMm2: number;
  readonly infillMm2: number;
  /** Moves limited by the machine's speed and acceleration. */
  readonly motionS: number;
  /** Moves limited by what the nozzle melts. */
  readonly flowS: number;
  /** Layer change, travel, waiting for the least layer time. */
  readonly overheadS: number;
}
export const LAYER_KEYS = ['wallMm2', 'skinMm2', 'infillMm2', 'motionS', 'flowS', 'overheadS'] as const; // prettier-ignore

/** Outline detail below this is no move of its own, mm. */
const DETAIL_MM = 0.02;
/** Mean distance of two random points in a square of side 1 (square line picking). */
const MEAN_DISTANCE = 0.5214;

/**
 * The layer at a height, from the true section there and those one skin thickness above and below.
 * Walls are nested offsets of the outline at the line pitch; the inside that has no material above
 * or below within the skin's thickness is skin, the rest infill. Deposited areas add up to the
 * section's own area when everything is solid, thin places included.
 * Straight lines across a region of area A and outline P are pi A / P long on average
 * (Cauchy's formula for mean chords), which gives their number.
 */
export function layerAt(slices: Slices, flat: FlatKernel, s: EstimateSettings, zMm: number): Layer {
  const section = flat.simplify(slices.at(zMm).loops, DETAIL_MM);
  const pitch = linePitchMm(s.lineWidthMm, s.layerHeightMm);
  const time = new Clock(s);
  let ring: Loops = section;
  let ringArea = areaOf(ring);
  let wallMm2 = 0;
  for (let k = 0; k < s.walls && ringArea > 0; k++) {
    const inner = flat.offset(ring, -pitch, 'miter');
    const innerArea = areaOf(inner);
    time.outline(ring, (ringArea - innerArea) / pitch, s.wallSpeed);
    wallMm2 += ringArea - innerArea;
    ring = inner;
    ringArea = innerArea;
  }
  let skinMm2 = 0;
  if (ringArea > 0) {
    const covered = (dz: number): Loops =>
      zMm + dz >= slices.topMm || zMm + dz <= slices.bottomMm ? [] : slices.at(zMm + dz).loops;
    const both = s.skinMm > 0 ? flat.intersect(covered(s.skinMm), covered(-s.skinMm)) : ring;
    const skin = flat.subtract(ring, both);
    skinMm2 = areaOf(skin);
    time.lines(skin, skinMm2, skinMm2 / pitch, s.skinSpeed);
    const restMm2 = Math.max(0, ringArea - skinMm2);
    const rest = skinMm2 > 0 && restMm2 > 0 ? flat.intersect(ring, both) : ring;
    time.lines(rest, restMm2, (s.infillShare * restMm2) / pitch, s.infillSpeed);
  }
  const infillMm2 = s.infillShare * Math.max(0, ringArea - skinMm2);
  time.travel(section);
  return { wallMm2, skinMm2, infillMm2, ...time.layer() };
}

/** Adds up the times of one layer's moves. */
class Clock {
  private readonly s: EstimateSettings;
  private readonly sectionMm2: number;
  private motionS = 0;
  private flowS = 0;
  private travelS = 0;
  private starts = 0;

  constructor(s: EstimateSettings) {
    this.s = s;
    this.sectionMm2 = lineSectionMm2(s.lineWidthMm, s.layerHeightMm);
  }

  private add(lengthMm: number, wanted: number, count: number): void {
    const v = extrusionSpeed(wanted, this.s.meltFlow, this.sectionMm2);
    const t = count * moveTimeS(lengthMm, v, this.s.acceleration);
    if (v < wanted) this.flowS += t;
    else this.motionS += t;
  }

  /** Wall lines along outlines, stretched to `totalMm`; they stop at sharp corners. */
  outline(loops: Loops, totalMm: number, speed: number): void {
    const runs = runsOf(loops, (this.s.cornerDeg * Math.PI) / 180);
    const sum = runs.reduce((a, b) => a + b, 0);
    if (sum <= 0) return;
    for (const run of runs) this.add((run * totalMm) / sum, speed, 1);
    this.starts += loops.length;
  }

  /** Lines to and fro across a region. */
  lines(region: Loops, areaMm2: number, totalMm: number, speed: number): void {
    const outlineMm = lengthOf(region);
    if (areaMm2 <= 0 || totalMm <= 0 || outlineMm <= 0) return;
    const chord = (Math.PI * areaMm2) / outlineMm;
    this.add(chord, speed, totalMm / chord);
    this.starts += region.length;
  }

  travel(section: Loops): void {
    const [w, d] = extentOf(section);
    const hop = MEAN_DISTANCE * Math.sqrt(w * d);
    this.travelS = this.starts * moveTimeS(hop, this.s.travelSpeed, this.s.acceleration);
  }

  layer(): Pick<Layer, 'motionS' | 'flowS' | 'overheadS'> {
    const moves = this.motionS + this.flowS + this.travelS;
    const wait = Math.max(0, this.s.minLayerS - moves);
    const overheadS = this.travelS + wait + this.s.layerChangeS;
    return { motionS: this.motionS, flowS: this.flowS, overheadS };
  }
}

/** Lengths between corners that turn by more than `corner`, mm; a smooth loop is one run. */
function runsOf(loops: Loops, corner: number): number[] {
  const out: number[] = [];
  for (const loop of loops) {
    const n = loop.length / 2;
    const at = (i: number): [number, number] => [loop[2 * (i % n)] as number, loop[2 * (i % n) + 1] as number]; // prettier-ignore
    const sides = Array.from({ length: n }, (_, i) => {
      const [a, b] = [at(i), at(i + 1)];
      return { length: Math.hypot(b[0] - a[0], b[1] - a[1]), heading: Math.atan2(b[1] - a[1], b[0] - a[0]) }; // prettier-ignore
    }).filter((side) => side.length > 0);
    const turns = sides.map((side, i) => {
      const before = sides[(i + sides.length - 1) % sides.length]?.heading ?? 0;
      const d = Math.abs(side.heading - before) % (2 * Math.PI);
      return Math.min(d, 2 * Math.PI - d);
    });
    const first = Math.max(0, turns.findIndex((turn) => turn > corner)); // prettier-ignore
    let run = 0;
    for (let i = 0; i < sides.length; i++) {
      const k = (first + i) % sides.length;
      if (i > 0 && (turns[k] as number) > corner) {
        out.push(run);
        run = 0;
      }
      run += sides[k]?.length ?? 0;
    }
    if (run > 0) out.push(run);
  }
  return out;
}

/** Area of outlines that do not cross, as the kernel gives them, mm2. */
const areaOf = (loops: Loops): number => loops.reduce((sum, loop) => sum + loopArea(loop), 0);

export const lengthOf = (loops: Loops): number =>
  loops.reduce((sum, loop) => sum + loopLength(loop), 0);

function extentOf(loops: Loops): [number, number] {
  const min = [Infinity, Infinity];
  const max = [-Infinity, -Infinity];
  for (const loop of loops)
    loop.forEach((v, i) => {
      const k = i & 1;
      min[k] = Math.min(min[k] as number, v);
      max[k] = Math.max(max[k] as number, v);
    });
  return loops.length === 0 ? [0, 0] : [(max[0] as number) - (min[0] as number), (max[1] as number) - (min[1] as number)]; // prettier-ignore
}
