import { Vector3 } from 'three';
import { ConvexHull } from 'three/addons/math/ConvexHull.js';
import { ballMesh, convexHull, seededRandom, torusMesh } from '../src/index.ts';

export const name = "hull: exact hull against three's ConvexHull (tolerance), points to hull";

export function run(): Promise<void> {
  const random = seededRandom(2);
  const cases: [string, Float64Array][] = [
    ['ball, all 10 242 points on the hull', ballMesh(100, 5).positions],
    ['torus of 100 000 points', torusMesh(50, 20, 500, 200).positions],
    ['cloud of 1 000 000 points', Float64Array.from({ length: 3e6 }, () => random() * 100)],
  ];
  for (const [what, points] of cases) {
    const ours = least(() => convexHull(points).source.length);
    const theirs = least(() => {
      const list: Vector3[] = [];
      for (let i = 0; i < points.length; i += 3)
        list.push(new Vector3(points[i], points[i + 1], points[i + 2]));
      return new ConvexHull().setFromPoints(list).faces.length;
    });
    console.log(`${what}: ours ${ours.toFixed(0)} ms, three ${theirs.toFixed(0)} ms, ratio ${(theirs / ours).toFixed(2)}`); // prettier-ignore
  }
  return Promise.resolve();
}

function least(work: () => number, runs = 3): number {
  let best = Infinity;
  for (let i = 0; i < runs; i++) {
    const t = performance.now();
    work();
    best = Math.min(best, performance.now() - t);
  }
  return best;
}
