import { ballMesh, boxMesh, cylinderMesh, joinMeshes, torusMesh, type Mesh, type Vec3 } from '../src/index.ts'; // prettier-ignore

/** Points moved by a smooth map: figures that are no plain solids. */
const bend = (mesh: Mesh, f: (p: Vec3) => Vec3): Mesh => {
  const positions = mesh.positions.slice();
  for (let i = 0; i < positions.length; i += 3)
    positions.set(f([positions[i] as number, positions[i + 1] as number, positions[i + 2] as number]), i); // prettier-ignore
  return { positions, triangles: mesh.triangles };
};

const kit = (name: string): string => `fixtures/lamplighter/${name}.stl`;
const real = (name: string): string => `../shared/real-parts/robot-dog/spotmicro/${name}.stl`;

/** Of the same section all along, or flat: any cut square to them has the same seam. */
export const prisms: readonly string[] = ['bar 600 x 90 x 60', 'plate with a foot', 'vase'];

/** Parts of the fixtures and of a real kit, with the factor that makes them of two to twenty pieces. */
export const splitFiles: readonly (readonly [string, number])[] = [
  ...['belt-back', 'boot-left', 'leg-left', 'arm-left', 'hips'].map((p) => [kit(p), 1] as const),
  ...['hat-crown', 'hat-feather', 'shoulder-ring-left', 'belt-back'].map(
    (p) => [kit(p), 2] as const,
  ),
  ...['larm', 'larm_cover', 'backpart', 'frontpart'].map((p) => [real(p), 4] as const),
];

/** Bodies too big for 220 x 220 x 250 mm, mm; each the figure of a common kind of part. */
export const splitBodies: Readonly<Record<string, () => Mesh>> = {
  'bar 600 x 90 x 60': () => boxMesh([600, 90, 60]),
  'ring 300': () => torusMesh(130, 20, 96, 32),
  'limb, thin in the middle': () =>
    bend(ballMesh(1, 4), ([x, y, z]) => {
      const waist = 20 + 60 * Math.abs(z) ** 1.5;
      return [x * waist, y * waist, 220 * z];
    }),
  'crescent': () =>
    bend(ballMesh(1, 4), ([x, y, z]) => [40 * x + 120 * z * z, 40 * y * (1 + 0.5 * z), 190 * z]), // prettier-ignore
  'tapered pole': () => bend(cylinderMesh(1, 1, 64), ([x, y, z]) => [x * (45 - 25 * z), y * (45 - 25 * z), 700 * z]), // prettier-ignore
  'plate with a foot': () => joinMeshes([boxMesh([380, 200, 12]), boxMesh([60, 60, 90], [300, 70, 12])]), // prettier-ignore
  'vase': () => bend(cylinderMesh(1, 1, 96), ([x, y, z]) => [x * 95, y * 95, 420 * z]),
}; // prettier-ignore
