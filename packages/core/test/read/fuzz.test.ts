/** Damage of any kind gives a mesh or an error of wrong input, never a crash and never vast memory. */
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { ballMesh, boxMesh, readParts, ScantlingError, write3mf, writeBinaryStl } from '../../src/index.ts'; // prettier-ignore
import { bytesOf, stlModel } from './helpers.ts';

const box = boxMesh([20, 10, 5]);
const OBJ =
  'o box\nv 0 0 0\nv 1 0 0\nv 0 1 0\nv 0 0 1\nf 1 3 2\nf 1 2 4\nf -4 -1 -2\nf 2//1 3//1 4//1\n';
const sound: Record<string, Uint8Array> = {
  'binary STL': writeBinaryStl(ballMesh(10, 1)),
  'ASCII STL': stlModel('polytopes/cube.ascii.stl'),
  OBJ: bytesOf(OBJ),
  '3MF': write3mf([{ name: 'a', mesh: box }, { name: 'b', mesh: ballMesh(3, 1) }]),
}; // prettier-ignore

const damage = fc.record({
  cut: fc.option(fc.double({ min: 0, max: 1, noNaN: true })),
  bytes: fc.array(fc.tuple(fc.double({ min: 0, max: 1, noNaN: true }), fc.nat(255)), { maxLength: 8 }),
  doubled: fc.boolean(),
}); // prettier-ignore

for (const [name, bytes] of Object.entries(sound))
  it(`survives damaged ${name} (seed 7)`, () => {
    const before = process.memoryUsage().arrayBuffers;
    let errors = 0;
    fc.assert(
      fc.property(damage, ({ cut, bytes: changes, doubled }) => {
        const copy = bytes.slice(0, cut === null ? bytes.length : Math.floor(cut * bytes.length));
        for (const [where, value] of changes) if (copy.length > 0) copy[Math.min(copy.length - 1, Math.floor(where * copy.length))] = value; // prettier-ignore
        const damaged = doubled ? Uint8Array.from([...copy, ...copy]) : copy;
        try {
          for (const { mesh } of readParts(damaged, { name: 'fuzz' })) {
            expect(mesh.positions.every(Number.isFinite)).toBe(true);
            expect(mesh.triangles.every((v) => 3 * v < mesh.positions.length)).toBe(true);
          }
        } catch (error) {
          if (!(error instanceof ScantlingError)) throw error;
          errors++;
        }
      }),
      { seed: 7, numRuns: 1500 },
    );
    // Both outcomes must have come up, or the damage is none.
    expect(errors).toBeGreaterThan(100);
    expect(errors).toBeLessThan(1500);
    expect(process.memoryUsage().arrayBuffers - before).toBeLessThan(300e6);
  });

it('survives bytes of no file at all (seed 8)', () => {
  let errors = 0;
  fc.assert(
    fc.property(fc.uint8Array({ maxLength: 400 }), (bytes) => {
      try {
        readParts(bytes);
      } catch (error) {
        if (!(error instanceof ScantlingError)) throw error;
        errors++;
      }
    }),
    { seed: 8, numRuns: 1000 },
  );
  expect(errors).toBeGreaterThan(900);
});
