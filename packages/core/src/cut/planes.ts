import type { Vec3 } from '../math/index.ts';
import { joinMeshes, type Mesh } from '../mesh/index.ts';
import type { Joint } from '../join/index.ts';
import { loadKernel } from '../solid/index.ts';
import { jointFrame } from './tools.ts';

/** Thickness of the plates that show the cuts, and how far they stand out of the part, mm. */
export const PLATE_MM = { thick: 0.4, overhang: 3 } as const;

/**
 * Each cut face as a thin plate that follows the outline of the part, a little larger, in part
 * coordinates: to load beside the part and look at. Works for open meshes as far as their section
 * closes. Empty mesh when no joint has a face.
 * @throws ScantlingError `KERNEL_NOT_LOADED`
 */
export async function planesMesh(joints: readonly Joint[]): Promise<Mesh> {
  const kernel = await loadKernel();
  return kernel.scope((solids) => {
    const plates = joints.map((joint) => {
      const loops = joint.loopsMm.map((l) => Float64Array.from(l));
      const frame = jointFrame(joint);
      const [nx, ny, nz] = frame.normal;
      const back = -PLATE_MM.thick / 2;
      const origin: Vec3 = [
        frame.origin[0] + back * nx,
        frame.origin[1] + back * ny,
        frame.origin[2] + back * nz,
      ];
      const wide = kernel.flat.offset(loops, PLATE_MM.overhang);
      return solids.solidToMesh(solids.extrude(wide, { ...frame, origin }, PLATE_MM.thick));
    });
    return joinMeshes(plates.filter((m) => m.triangles.length > 0));
  });
}
