import type { Kit, Mesh, Place, Vec3 } from '@scantling/core';
import type { FigureModel, PagePart } from './render/page/model.ts';

/** Height over the lowest point up to which a part counts as standing on the floor, mm. */
const ON_FLOOR_MM = 1.5;

interface Placed {
  readonly meshes: readonly Mesh[];
  /** g or mm3, all of one kind. */
  readonly weight: number;
  readonly centre: Vec3;
}

/** The figure from the kit's places, its centre of mass and what it stands on; null without parts. */
export async function figureOf(kit: Kit, parts: readonly PagePart[]): Promise<FigureModel | null> {
  const core = await import('@scantling/core');
  const known = kit.parts.flatMap((k) => {
    const part = parts.find((p) => sameFile(p.scan.file, k.file));
    return part?.pictures ? [{ k, part, coarse: part.pictures.coarse }] : [];
  });
  if (!known.length) return null;
  const massFrom = known.every(({ part }) => part.massG !== null) ? 'estimate' : 'volume';
  const placed = known.map(({ k, part, coarse }): Placed => {
    // The scan takes files without a unit as mm unless told; the kit knows better.
    const unit = part.scan.unit?.from === 'assumed' ? core.MM_PER_UNIT[k.unit] : 1;
    const places: readonly Place[] =
      k.place === 'as modelled' ? [{ turn: [0, 0, 0], move: [0, 0, 0] }] : k.place;
    const own = unit === 1 ? coarse : core.scaleMesh(coarse, unit);
    const centre = (part.scan.mesh?.centreMm?.map((x) => x * unit) ?? middle(core.boundsOf(own.positions))) as unknown as Vec3; // prettier-ignore
    const volume = (part.scan.mesh?.volumeMm3 ?? 0) * unit ** 3;
    const each = massFrom === 'estimate' ? (part.massG ?? 0) : volume;
    const turned = places.map(({ turn, move }) => {
      const m = core.quatToMatrix(core.quatFromTurnsDeg(turn));
      return { mesh: core.transformMesh(own, m, move), centre: core.add(core.rotate(m, centre), move) }; // prettier-ignore
    });
    const c = turned.reduce<Vec3>((sum, t) => core.add(sum, t.centre), [0, 0, 0]);
    return {
      meshes: turned.map((t) => t.mesh),
      weight: each * places.length,
      centre: core.scale(c, 1 / Math.max(1, turned.length)),
    };
  });
  const whole = core.joinMeshes(placed.flatMap((p) => p.meshes));
  const box = core.boundsOf(whole.positions);
  const centreMm = centreOf(placed, kit, massFrom === 'estimate');
  const drawable = core.drawableOf(whole);
  const tall = box.max[2] - box.min[2];
  const pxPerMm = Math.min(460 / tall, 330 / (box.max[0] - box.min[0]), 300 / (box.max[1] - box.min[1])); // prettier-ignore
  const views = (['front', 'right', 'iso'] as const).map((name) => {
    const view = core.VIEWS[name];
    const drawing = core.drawView(drawable, view, { detailMm: 0.7 / pxPerMm });
    const wash = core.washOf(whole, view, pxPerMm);
    const made = core.viewBody(drawing, { pxPerMm, linePx: 1, marginPx: 5, wash });
    const k = 8 * pxPerMm;
    const centre = centreMm && ([
      Math.round((core.dot(centreMm, view.right) - drawing.minMm[0]) * k) + 40,
      Math.round((drawing.maxMm[1] - core.dot(centreMm, view.up)) * k) + 40,
    ] as const); // prettier-ignore
    return { name, ...made, pxPerMm, centre };
  });
  const shown = new Set(known.map(({ k }) => k.file));
  return {
    views,
    heightMm: tall,
    centreMm,
    massFrom,
    feet: await feetOf(whole, box.min[2], kit, centreMm),
    missing: kit.parts.filter((k) => k.quantity > 0 && !shown.has(k.file)).map((k) => k.file),
  };
}

const sameFile = (a: string, b: string): boolean =>
  a === b || a.split('/').at(-1) === b.split('/').at(-1);

const middle = ({ min, max }: { min: Vec3; max: Vec3 }): Vec3 => [
  (min[0] + max[0]) / 2,
  (min[1] + max[1]) / 2,
  (min[2] + max[2]) / 2,
];

function centreOf(placed: readonly Placed[], kit: Kit, inGrams: boolean): Vec3 | null {
  const bodies: { weight: number; centre: Vec3 }[] = [...placed];
  if (inGrams) {
    for (const rod of kit.rods)
      if (rod.grams) bodies.push({ weight: rod.grams, centre: middle({ min: rod.from, max: rod.to }) }); // prettier-ignore
    if (kit.base) {
      const n = kit.base.outline.length;
      const [x, y] = [0, 1].map((i) => kit.base?.outline.reduce((s, p) => s + (p[i] as number), 0) ?? 0) as [number, number]; // prettier-ignore
      bodies.push({ weight: kit.base.grams, centre: [x / n, y / n, kit.base.height / 2] });
    }
  }
  const total = bodies.reduce((sum, b) => sum + b.weight, 0);
  if (!(total > 0)) return null;
  const at = (i: 0 | 1 | 2): number => bodies.reduce((s, b) => s + b.weight * b.centre[i], 0) / total; // prettier-ignore
  return [at(0), at(1), at(2)];
}

async function feetOf(
  whole: Mesh,
  floor: number,
  kit: Kit,
  centre: Vec3 | null,
): Promise<FigureModel['feet']> {
  // prettier-ignore
  const { planarHull } = await import('@scantling/core');
  const points: [number, number][] = kit.base ? kit.base.outline.map(([x, y]) => [x, y]) : [];
  const p = whole.positions;
  if (!kit.base)
    for (let i = 0; i < p.length; i += 3)
      if ((p[i + 2] as number) < floor + ON_FLOOR_MM) points.push([p[i] as number, p[i + 1] as number]); // prettier-ignore
  const ids = planarHull(
    points.length,
    (i) => (points[i] as [number, number])[0],
    (i) => (points[i] as [number, number])[1],
  );
  const outlineMm = ids.map((i) => points[i] as [number, number]);
  if (outlineMm.length < 3) return null;
  let tipDeg: number | null = null;
  if (centre) {
    let least = Infinity;
    outlineMm.forEach((a, i) => {
      const b = outlineMm[(i + 1) % outlineMm.length] as readonly [number, number];
      const l = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
      least = Math.min(least, ((b[0] - a[0]) * (centre[1] - a[1]) - (b[1] - a[1]) * (centre[0] - a[0])) / l); // prettier-ignore
    });
    tipDeg = (Math.atan2(least, centre[2] - floor) * 180) / Math.PI;
  }
  return { outlineMm, tipDeg };
}
