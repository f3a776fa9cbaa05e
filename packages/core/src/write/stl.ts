import { ScantlingError } from '../errors.ts';
import type { Mesh } from '../mesh/index.ts';

const HEADER_BYTES = 84;
const FACET_BYTES = 50;

/**
 * A mesh as binary STL, in mm: 84 bytes and 50 per facet; normals by the right-hand rule, all
 * zero for a facet without area. Coordinates are rounded to float32, the format's only number.
 * The same mesh gives the same bytes.
 * @param header up to 80 letters of ASCII; must not begin with `solid`, by which some readers take
 * a file for text
 * @throws ScantlingError `STL_HEADER`, or `NOT_FINITE` for a coordinate float32 cannot hold
 * @example writeBinaryStl(boxMesh([10, 10, 10])).length // 684
 */
export function writeBinaryStl(mesh: Mesh, header = 'binary STL, mm'): Uint8Array {
  if (header.length > 80 || !/^[\u0020-\u007e]*$/.test(header) || /^\s*solid/i.test(header))
    throw new ScantlingError('STL_HEADER', `"${header}" cannot be an STL header.`, {
      remedy: 'Use up to 80 plain letters that do not begin with "solid".',
    });
  const { positions: p, triangles: t } = mesh;
  const facets = t.length / 3;
  const bytes = new Uint8Array(HEADER_BYTES + FACET_BYTES * facets);
  for (let i = 0; i < header.length; i++) bytes[i] = header.charCodeAt(i);
  const view = new DataView(bytes.buffer);
  view.setUint32(80, facets, true);
  const corner = new Float64Array(9);
  for (let f = 0, o = HEADER_BYTES; f < facets; f++, o += FACET_BYTES) {
    for (let k = 0; k < 9; k++) {
      const v = t[3 * f + ((k / 3) | 0)] as number;
      const x = Math.fround(p[3 * v + (k % 3)] as number);
      if (x - x !== 0)
        throw new ScantlingError('NOT_FINITE', `Vertex ${v} has a coordinate STL cannot hold.`, {
          remedy: 'Repair the mesh before writing it.',
        });
      corner[k] = x;
      view.setFloat32(o + 12 + 4 * k, x, true);
    }
    writeNormal(view, o, corner);
  }
  return bytes;
}

function writeNormal(view: DataView, o: number, c: Float64Array): void {
  const [ax, ay, az, bx, by, bz, cx, cy, cz] = c as unknown as readonly [
    number, number, number, number, number, number, number, number, number,
  ]; // prettier-ignore
  const ux = bx - ax, uy = by - ay, uz = bz - az; // prettier-ignore
  const vx = cx - ax, vy = cy - ay, vz = cz - az; // prettier-ignore
  const nx = uy * vz - uz * vy;
  const ny = uz * vx - ux * vz;
  const nz = ux * vy - uy * vx;
  const l = Math.hypot(nx, ny, nz);
  if (!(l > 0 && Number.isFinite(l))) return;
  view.setFloat32(o, nx / l, true);
  view.setFloat32(o + 4, ny / l, true);
  view.setFloat32(o + 8, nz / l, true);
}
