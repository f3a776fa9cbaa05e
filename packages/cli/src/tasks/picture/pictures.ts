import {
  boundsInView,
  drawView,
  envelopeLines,
  joinMeshes,
  sparser,
  supportSpace,
  VIEWS,
  viewBody,
  viewFrom,
  washOf,
  type Drawable,
  type Envelope,
  type Mesh,
  type OrientSettings,
  type ScanPart,
  type SpaceLine,
  type SplitPart,
  type Vec3,
  type View,
  type ViewDrawing,
  type Wash,
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
/** Bytes in the page per point of a line, measured over the demonstration kit. */
const POINT_BYTES = 5.5;

/** How good the pictures of a part may be. */
export interface Means {
  /** 1 full, below 1 for kits of many parts: fewer pixels and details. */
  readonly fineness: number;
  /** Bytes in the page of one picture of full size. */
  readonly bytes: number;
}

export interface Wanted {
  readonly pxPerMm: number;
  readonly linePx: number;
  readonly extra?: readonly SpaceLine[];
  /** Body to shade; its facets with a mark are tinted. Left out: lines only. */
  readonly shade?: { readonly mesh: Mesh; readonly marked?: Uint8Array | undefined };
  /** Share of the bytes of a picture of full size. */
  readonly share: number;
}

/** A view that keeps to its bytes: coarser tones first, then only the longer lines. */
export function pictureOf(body: Drawable, view: View, wanted: Wanted, means: Means) {
  const { pxPerMm, linePx, shade } = wanted;
  const bytes = means.bytes * wanted.share;
  const lines = drawView(body, view, {
    ...(wanted.extra && { extra: wanted.extra }),
    detailMm: 0.5 / means.fineness / pxPerMm,
  });
  const full = shade && shade.mesh !== body.mesh ? framing(lines, shade.mesh) : lines;
  let wash: Wash | undefined;
  if (shade) {
    const at = (scale: number): Wash => washOf(shade.mesh, view, scale, shade.marked);
    const scale = pxPerMm * means.fineness;
    wash = at(scale);
    const room = 0.6 * bytes;
    for (let size = 1, k = 0; k < 2 && (4 / 3) * wash.png.length > room; k++) {
      size *= 0.95 * Math.sqrt(room / ((4 / 3) * wash.png.length));
      wash = at(scale * Math.max(0.05, size));
    }
  }
  const left = bytes - (wash ? (4 / 3) * wash.png.length : 0);
  const drawing = sparser(full, Math.max(40, left / POINT_BYTES));
  const made = viewBody(drawing, { pxPerMm, linePx, marginPx: MARGIN, wash });
  return { drawing, ...made, pxPerMm };
}

/** The drawing with room for a body that is shaded but not drawn. */
function framing(drawing: ViewDrawing, mesh: Mesh): ViewDrawing {
  const { minMm, maxMm } = boundsInView(mesh.positions, drawing.view);
  return {
    ...drawing,
    minMm: [Math.min(minMm[0], drawing.minMm[0]), Math.min(minMm[1], drawing.minMm[1])],
    maxMm: [Math.max(maxMm[0], drawing.maxMm[0]), Math.max(maxMm[1], drawing.maxMm[1])],
  };
}

/** A part in its build envelope, at the scale of all cards. */
export function cardPicture(
  placed: Drawable,
  envelope: Envelope | null,
  pxPerMm: number,
  means: Means,
): Picture {
  const view = VIEWS.iso;
  const extra = envelope ? envelopeLines(envelope, view) : [];
  const { drawing: _, ...made } = pictureOf(placed, view, { pxPerMm, linePx: 1.1, extra, shade: { mesh: placed.mesh }, share: 0.8 }, { ...means, fineness: 1 }); // prettier-ignore
  return { name: 'iso', ...made, marks: [] };
}

/** Isometric large, front, right and top smaller, the latter three at one scale; as modelled. */
export function partViews(
  body: Drawable,
  scan: ScanPart,
  split: SplitPart | null,
  means: Means,
): Picture[] {
  const [x, y, z] = (scan.size ?? [1, 1, 1]) as Vec3;
  const small = Math.min(...[[x, z], [y, z], [x, y]].map(([w, h]) => Math.min(200 / (w || 1), 190 / (h || 1)))); // prettier-ignore
  const wide = (x + y) * Math.SQRT1_2 || 1;
  const tall = (x + y) * 0.4083 + z * 0.8165 || 1;
  const large = Math.min(360 / wide, 320 / tall);
  const extra = seamLines(split);
  const picture = (view: View, pxPerMm: number, shaded: boolean): Picture => {
    const { drawing, ...made } = pictureOf(
      body,
      view,
      { pxPerMm, linePx: 1.4, extra, ...(shaded && { shade: { mesh: body.mesh } }), share: shaded ? 1 : 0.35 },
      means,
    ); // prettier-ignore
    const k = pxPerMm * FINE;
    const marks = defectPlaces(scan).map(({ code, at }) => ({
      code,
      x: Math.round((dot(at, view.right) - drawing.minMm[0]) * k) + MARGIN * FINE,
      y: Math.round((drawing.maxMm[1] - dot(at, view.up)) * k) + MARGIN * FINE,
    }));
    return { name: view.name, ...made, marks };
  };
  return [
    picture(VIEWS.iso, large, true),
    ...(['front', 'right', 'top'] as const).map((name) => picture(VIEWS[name], small, false)),
  ];
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

/**
 * The part as it will be printed, seen from the front and a little above, with the space that
 * supports fill tinted; null where nothing wants supports.
 */
export function supportPicture(
  placed: Drawable,
  settings: Pick<OrientSettings, 'selfSupportDeg' | 'bridgeMm'>,
  means: Means,
): Picture | null {
  const space = supportSpace(placed.mesh, { ...settings, maxCells: 192 });
  if (!space) return null;
  const view = viewFrom('supports', [0.7, -1, 0.3]);
  const mesh = joinMeshes([placed.mesh, space.skin]);
  const marked = new Uint8Array(mesh.triangles.length / 3).fill(
    1,
    placed.mesh.triangles.length / 3,
  );
  const { minMm, maxMm } = boundsInView(mesh.positions, view);
  const pxPerMm = Math.min(300 / (maxMm[0] - minMm[0] || 1), 300 / (maxMm[1] - minMm[1] || 1));
  const { drawing: _, ...made } = pictureOf(placed, view, { pxPerMm, linePx: 1.1, shade: { mesh, marked }, share: 0.7 }, means); // prettier-ignore
  return { name: 'supports', ...made, marks: [] };
}
