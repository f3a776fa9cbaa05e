import { describe, expect, it } from 'vitest';
import { boxEnvelope } from '../../src/envelope/index.ts';
import { dot, quatToMatrix, rotate, type Vec3 } from '../../src/math/index.ts';
import { boxMesh, cylinderMesh, flipTriangles, joinMeshes, massProperties, torusMesh, type Mesh } from '../../src/mesh/index.ts'; // prettier-ignore
import { proposeSplit, type Split, type SplitPlan } from '../../src/split/index.ts';
import { splitPlanSchema } from '../../src/split/schema.ts';
import { bodyFrom, clipBody, skinPoints } from '../../src/split/body.ts';

const box = boxEnvelope(220, 220, 250);
const best = (split: Split): SplitPlan => split.plans[0] as SplitPlan;

/** Every vertex of every piece, turned and moved by its witness, lies in the 220 x 220 x 250 box. */
function expectWitnesses(mesh: Mesh, plan: SplitPlan, [w, d, h]: Vec3): void {
  for (const piece of plan.pieces) {
    let body = bodyFrom(mesh);
    for (const { plane, side } of piece.within) {
      const { normal, offsetMm } = plan.planes.find((p) => p.id === plane) as SplitPlan['planes'][number]; // prettier-ignore
      body = clipBody(body, normal, offsetMm)[side] as typeof body;
    }
    const placement = piece.fit.placement;
    expect(placement).not.toBeNull();
    if (!placement) continue;
    const m = quatToMatrix(placement.rotation);
    const points = skinPoints(body);
    for (let i = 0; i < points.length; i += 3) {
      const p = rotate(m, [points[i]!, points[i + 1]!, points[i + 2]!]).map((x, k) => x + (placement.translationMm[k] as number)); // prettier-ignore
      expect(Math.abs(p[0] as number)).toBeLessThan(w / 2 + 1e-6);
      expect(Math.abs(p[1] as number)).toBeLessThan(d / 2 + 1e-6);
      expect(p[2]).toBeGreaterThan(-1e-6);
      expect(p[2]).toBeLessThan(h + 1e-6);
    }
  }
}

describe('counts that are known', () => {
  // 342.53: longest 100 x 100 bar in a 300 cube, by branch and bound; one plane leaves a piece with
  // a full-section bar of 480 or more, so two pieces cannot do.
  it('splits a bar of 1000 x 100 x 100 into exactly 3 for a cube of 300', () => {
    const mesh = boxMesh([1000, 100, 100]);
    const split = proposeSplit(mesh, [boxEnvelope(300, 300, 300)]);
    expect(best(split).pieces).toHaveLength(3);
    expect(best(split).complete).toBe(true);
    expectWitnesses(mesh, best(split), [300, 300, 300]);
    expect(split.lowerBound.count).toBe(3);
  });

  it('splits a bar of 600 x 100 x 100 into 2, and a solid cube 2S into 8 with the bound at 8', () => {
    const cube = boxEnvelope(300, 300, 300);
    expect(best(proposeSplit(boxMesh([600, 100, 100]), [cube])).pieces).toHaveLength(2);
    const split = proposeSplit(boxMesh([600, 600, 600]), [cube]);
    expect(best(split).pieces).toHaveLength(8);
    expect(best(split).planes).toHaveLength(3);
    expect(split.lowerBound.count).toBe(8);
  });

  it('splits thin rods into ceil(length / diagonal), and proves it', () => {
    for (const length of [410, 790, 1190]) {
      const split = proposeSplit(boxMesh([0.1, length, 0.1]), [box]);
      expect(best(split).pieces).toHaveLength(Math.ceil(length / Math.hypot(220, 220, 250)));
      expect(split.lowerBound.count).toBe(best(split).pieces.length);
    }
  });

  it('splits a plate of 400 x 400 x 5 into 4 squares and one of 300 x 300 x 5 into 2', () => {
    // Four is least: volume says little, but no piece can hold two corners (400 > 399.124 apart).
    const plate = proposeSplit(boxMesh([400, 400, 5]), [box]);
    expect(best(plate).pieces).toHaveLength(4);
    expect(plate.lowerBound.count).toBe(4);
    expect(best(proposeSplit(boxMesh([300, 300, 5]), [box])).pieces).toHaveLength(2);
  });
});

describe('a plan', () => {
  const ring = torusMesh(150, 20, 64, 24);
  const split = proposeSplit(ring, [box], { part: 'ring' });

  it('is JSON that its schema describes, and says the same after a round trip', () => {
    const text = JSON.stringify(best(split));
    expect(splitPlanSchema.parse(JSON.parse(text))).toEqual(best(split));
  });

  it('has volumes that add up, and witnesses that hold for every vertex', () => {
    const sum = best(split).pieces.reduce((v, p) => v + (p.volumeMm3 as number), 0);
    expect(sum).toBeCloseTo(massProperties(ring).volumeMm3, 3);
    for (const plan of split.plans) expectWitnesses(ring, plan, [220, 220, 250]);
  });

  it('offers plans that really differ', () => {
    expect(split.plans.length).toBeGreaterThan(1);
    const marks = split.plans.map((p) => p.planes.map((q) => `${q.normal.map((c) => c.toFixed(1)).join()}@${(q.offsetMm / 10).toFixed(0)}`).sort().join('|')); // prettier-ignore
    expect(new Set(marks).size).toBe(marks.length);
  });

  it('cuts where it says: turned as told, the piece is cut at the told height', () => {
    const plan = best(split);
    for (const cut of plan.cuts) {
      const { normal, point } = plan.planes.find((p) => p.id === cut.plane) as SplitPlan['planes'][number]; // prettier-ignore
      const [x, y, z] = cut.turnsDeg.map((deg) => (deg * Math.PI) / 180) as [number, number, number];
      // R = Rz Ry Rx, written out here on its own.
      const turn = (p: Vec3): Vec3 => {
        const a: Vec3 = [p[0], p[1] * Math.cos(x) - p[2] * Math.sin(x), p[1] * Math.sin(x) + p[2] * Math.cos(x)];
        const b: Vec3 = [a[0] * Math.cos(y) + a[2] * Math.sin(y), a[1], -a[0] * Math.sin(y) + a[2] * Math.cos(y)];
        return [b[0] * Math.cos(z) - b[1] * Math.sin(z), b[0] * Math.sin(z) + b[1] * Math.cos(z), b[2]];
      };
      turn(normal).forEach((c, i) => {
        expect(c).toBeCloseTo([0, 0, 1][i] as number, 6);
      });
      let body = bodyFrom(ring);
      for (const { plane, side } of cut.within) {
        const p = plan.planes.find((q) => q.id === plane) as SplitPlan['planes'][number];
        body = clipBody(body, p.normal, p.offsetMm)[side] as typeof body;
      }
      const points = skinPoints(body);
      let low = Infinity;
      for (let i = 0; i < points.length; i += 3)
        low = Math.min(low, turn([points[i]!, points[i + 1]!, points[i + 2]!])[2]);
      expect(turn(point)[2] - low).toBeCloseTo(cut.heightMm, 4);
    } // prettier-ignore
  });

  it('of a symmetrical part keeps a mirror plane', () => {
    const broken = best(split).cost.terms.find((t) => t.name === 'asymmetry');
    expect(broken?.value).toBeLessThan(3);
    const bar = best(proposeSplit(boxMesh([700, 60, 60]), [box]));
    expect(bar.cost.terms.find((t) => t.name === 'asymmetry')?.value).toBe(0);
  });
});

describe('the maker', () => {
  const bar = boxMesh([100, 100, 400]);

  it('keeps places whole', () => {
    const keep = [{ shape: 'sphere', centreMm: [50, 50, 200], radiusMm: 30 } as const];
    for (const plan of proposeSplit(bar, [box], { keep }).plans) {
      expect(plan.complete).toBe(true);
      for (const p of plan.planes)
        expect(Math.abs(dot(p.normal, [50, 50, 200]) - p.offsetMm)).toBeGreaterThanOrEqual(
          30 - 1e-9,
        );
    }
  });

  it('gives planes by hand, which are carried out, checked, and added to only on request', () => {
    const planes = [{ normal: [0, 0, 1] as Vec3, offsetMm: 100 }];
    const asked = proposeSplit(bar, [boxEnvelope(220, 220, 220)], { planes });
    expect(asked.plans).toHaveLength(1);
    expect(best(asked).complete).toBe(false);
    expect(best(asked).remarks.join()).toContain('fits no machine');
    const better = best(proposeSplit(bar, [boxEnvelope(220, 220, 220)], { planes, improve: true }));
    expect(better.complete).toBe(true);
    expect(better.planes[0]?.offsetMm).toBe(100);
    const missed = proposeSplit(bar, [box], { planes: [{ normal: [0, 0, 1], offsetMm: 900 }] });
    expect(missed.remarks.join()).toContain('misses the part');
  });

  it('may ask for more pieces, one direction, an allowance', () => {
    const small = boxMesh([100, 90, 80]);
    expect(best(proposeSplit(small, [box])).cuts).toHaveLength(0);
    expect(best(proposeSplit(small, [box], { pieces: 2 })).pieces).toHaveLength(2);
    expect(best(proposeSplit(small, [box], { pieces: 4 })).pieces).toHaveLength(4);
    const tilted = best(proposeSplit(bar, [box], { directions: [[0, 1, 2]] }));
    for (const p of tilted.planes) expect(Math.abs(dot(p.normal, [0, 1 / Math.sqrt(5), 2 / Math.sqrt(5)]))).toBeCloseTo(1, 9); // prettier-ignore
  });

  it('may name the side that is seen: the seam keeps off it', () => {
    // A plate standing in the XZ plane, seen from the front: cuts leave half of their outline seen.
    const plan = best(proposeSplit(boxMesh([60, 60, 400]), [box], { seamFrom: [0, -1, 0] }));
    const { seam } = plan.cuts[0] as SplitPlan['cuts'][number];
    expect(seam.seenMm).toBeCloseTo(60, 6);
    expect(seam.lengthMm).toBeCloseTo(240, 6);
  });
});

describe('mirrored parts', () => {
  it('get mirrored plans', () => {
    const left = joinMeshes([boxMesh([500, 60, 60]), boxMesh([60, 40, 320], [440, 5, 60])]);
    const right: Mesh = {
      positions: left.positions.map((x, i) => (i % 3 === 0 ? 7 - x : x)),
      triangles: flipTriangles(left.triangles),
    };
    const a = best(proposeSplit(left, [box]));
    const b = best(proposeSplit(right, [box]));
    const image = a.planes.map((p) => {
      const n: Vec3 = [-p.normal[0], p.normal[1], p.normal[2]];
      const offset = p.offsetMm + 7 * n[0];
      const s = n[0] < -0.5 ? -1 : 1;
      return `${n.map((c) => (c * s + 0).toFixed(6)).join()}@${(offset * s).toFixed(4)}`;
    });
    expect(b.planes.map((p) => `${p.normal.map((c) => c.toFixed(6)).join()}@${p.offsetMm.toFixed(4)}`)).toEqual(image); // prettier-ignore
  });
});

describe('poor parts', () => {
  it('an open mesh gets planes, and nothing is promised of volumes', () => {
    const tube = cylinderMesh(60, 500, 48);
    const open = { ...tube, triangles: tube.triangles.slice(30) };
    const split = proposeSplit(open, [box]);
    expect(split.closed).toBe(false);
    expect(split.remarks.join()).toContain('open');
    expect(best(split).complete).toBe(true);
    for (const piece of best(split).pieces) expect(piece.volumeMm3).toBeNull();
    for (const cut of best(split).cuts) {
      expect(cut.seam.areaMm2).toBeNull();
      expect(cut.seam.lengthMm).toBeGreaterThan(100);
    }
  });

  it('an inside-out part is split like the right one', () => {
    const bar = boxMesh([500, 50, 50]);
    const turned = { ...bar, triangles: flipTriangles(bar.triangles) };
    expect(best(proposeSplit(turned, [box])).planes).toEqual(best(proposeSplit(bar, [box])).planes);
  });

  it('a part that takes more than 64 pieces says why', () => {
    const split = proposeSplit(boxMesh([900, 900, 1000]), [box], { alternatives: 1 });
    const { length } = best(split).pieces;
    // 810 dm3 over 12.1 dm3: 67 at least by volume; a plain grid of 5 x 5 x 4 makes 100.
    expect(split.lowerBound.count).toBe(67);
    expect(length).toBeGreaterThanOrEqual(67);
    expect(length).toBeLessThanOrEqual(100);
    expect(split.remarks.join()).toContain(`${length} pieces: the part is that much larger`);
  });

  it('nothing at all is an error with a way out', () => {
    expect(() => proposeSplit({ positions: new Float64Array(0), triangles: new Uint32Array(0) }, [box])).toThrowError(/no facets/); // prettier-ignore
    expect(() => proposeSplit(boxMesh([1, 1, 1]), [])).toThrowError(/No machine/);
  });
});
