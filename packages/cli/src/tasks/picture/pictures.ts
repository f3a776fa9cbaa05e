import {
  drawableOf,
  drawView,
  envelopeLines,
  VIEWS,
  viewBody,
  viewFrom,
  washOf,
  type Drawable,
  type Envelope,
  type Mesh,
  type ScanPart,
  type SpaceLine,
  type SplitPart,
  type Vec3,
  type View,
} from '@scantling/core';

/** Drawing in units of an eighth of a pixel, without its svg element. */
export interface Picture {
  readonly name: string;
  readonly width: number;
  readonly height: number;
  readonly body: string;
  readonly pxPerMm: number;
  /** Places on the paper worth a look, in the same units, by kind of defect. */
  readonly marks: readonly { readonly code: string; readonly x: number; readonly y: number }[];
}

const MARGIN = 5;
const FINE = 8;

/** A part in its build envelope, at the scale of all cards. */
export function cardPicture(placed: Mesh, envelope: Envelope | null, pxPerMm: number): Picture {
  const view = VIEWS.iso;
  const extra = envelope ? envelopeLines(envelope, view) : [];
  const drawing = drawView(drawableOf(placed), view, { extra, detailMm: 0.5 / pxPerMm });
  const options = { pxPerMm, linePx: 1.1, marginPx: MARGIN, wash: washOf(placed, view, pxPerMm) };
  return { name: 'iso', ...viewBody(drawing, options), pxPerMm, marks: [] };
}

/** Isometric large, front, right and top smaller, the latter three at one scale; as modelled. */
export function partViews(
  mesh: Mesh,
  scan: ScanPart,
  split: SplitPart | null,
  fineness: number,
): Picture[] {
  const body = drawableOf(mesh);
  const [x, y, z] = (scan.size ?? [1, 1, 1]) as Vec3;
  const small = Math.min(...[[x, z], [y, z], [x, y]].map(([w, h]) => Math.min(200 / (w || 1), 190 / (h || 1)))); // prettier-ignore
  const wide = ((x + y) * Math.SQRT1_2) || 1; // prettier-ignore
  const tall = (x + y) * 0.4083 + z * 0.8165 || 1;
  const large = Math.min(360 / wide, 320 / tall);
  const extra = seamLines(split);
  return [
    picture(body, VIEWS.iso, large, fineness, extra, scan, true),
    ...(['front', 'right', 'top'] as const).map((name) =>
      picture(body, VIEWS[name], small, fineness, extra, scan, false),
    ),
  ];
}

function picture(
  body: Drawable,
  view: View,
  pxPerMm: number,
  fineness: number,
  extra: readonly SpaceLine[],
  scan: ScanPart,
  shaded: boolean,
): Picture {
  const drawing = drawView(body, view, { extra, detailMm: 0.5 / fineness / pxPerMm });
  const wash = shaded ? washOf(body.mesh, view, pxPerMm * fineness) : undefined;
  const made = viewBody(drawing, { pxPerMm, linePx: 1.4, marginPx: MARGIN, wash });
  const k = pxPerMm * FINE;
  const marks = defectPlaces(scan).map(({ code, at }) => ({
    code,
    x: Math.round((dot(at, view.right) - drawing.minMm[0]) * k) + MARGIN * FINE,
    y: Math.round((drawing.maxMm[1] - dot(at, view.up)) * k) + MARGIN * FINE,
  }));
  return { name: view.name, ...made, pxPerMm, marks };
}

const dot = (a: Vec3, b: Vec3): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

/** Where the mesh has flaws, as far as the scan tells places; at most a dozen of each kind. */
function defectPlaces({ mesh }: ScanPart): { code: string; at: Vec3 }[] {
  if (!mesh) return [];
  const of = (code: string, at: readonly (readonly number[])[]) =>
    at.slice(0, 12).map((p) => ({ code, at: p as unknown as Vec3 }));
  return [
    ...of('open-edges', mesh.openEdges.longest.map((rim) => rim.centreMm)),
    ...of('non-manifold-edges', mesh.nonManifoldEdges.at),
    ...of('flipped-neighbours', mesh.flippedNeighbours.at),
    ...of('flat-facets', mesh.degenerateFacets.at),
    ...of('duplicate-facets', mesh.duplicateFacets.at),
  ]; // prettier-ignore
}

/** The outlines of the cut faces on the part's skin. */
function seamLines(split: SplitPart | null): SpaceLine[] {
  return (split?.joints ?? []).flatMap(({ loopsMm, frame: { origin: o, u, v } }) =>
    loopsMm.map((loop): SpaceLine => {
      const points: number[] = [];
      for (let i = 0; i <= loop.length; i += 2) {
        const x = loop[i % loop.length] as number;
        const y = loop[(i + 1) % loop.length] as number;
        for (const k of [0, 1, 2] as const) points.push(o[k] + x * u[k] + y * v[k]);
      }
      return { kind: 'cutting', points };
    }),
  );
}

/** Facets that lean out further than this from upright want supports (the common default). */
const OVERHANG = Math.SQRT1_2;

/** The part as it will be printed, seen from below: what supports will touch is tinted. */
export function supportPicture(placed: Mesh, fineness: number): Picture | null {
  const marked = overhangs(placed);
  if (!marked) return null;
  const view = viewFrom('below', [0.8, -1, -0.75]);
  const drawing = drawView(drawableOf(placed), view, { detailMm: 0 });
  const w = drawing.maxMm[0] - drawing.minMm[0] || 1;
  const h = drawing.maxMm[1] - drawing.minMm[1] || 1;
  const pxPerMm = Math.min(230 / w, 230 / h);
  const fine = drawView(drawableOf(placed), view, { detailMm: 0.6 / fineness / pxPerMm });
  const wash = washOf(placed, view, pxPerMm * fineness, marked);
  const made = viewBody(fine, { pxPerMm, linePx: 1.1, marginPx: MARGIN, wash });
  return { name: 'below', ...made, pxPerMm, marks: [] };
}

/** Per facet 1 where it overhangs off the plate; null where nothing does. */
function overhangs({ positions: p, triangles: t }: Mesh): Uint8Array | null {
  const out = new Uint8Array(t.length / 3);
  let any = false;
  for (let f = 0; f < out.length; f++) {
    const [a, b, c] = [3 * (t[3 * f] as number), 3 * (t[3 * f + 1] as number), 3 * (t[3 * f + 2] as number)]; // prettier-ignore
    const at = (i: number): number => p[i] as number;
    const [ux, uy, uz] = [at(b) - at(a), at(b + 1) - at(a + 1), at(b + 2) - at(a + 2)];
    const [vx, vy, vz] = [at(c) - at(a), at(c + 1) - at(a + 1), at(c + 2) - at(a + 2)];
    const n = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx] as const;
    const l = Math.hypot(...n);
    const low = Math.max(at(a + 2), at(b + 2), at(c + 2));
    if (l > 0 && -n[2] / l > OVERHANG + 1e-6 && low > 0.3) {
      out[f] = 1;
      any = true;
    }
  }
  return any ? out : null;
}
