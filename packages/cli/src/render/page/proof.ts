import type { Health, ScanPart } from '@scantling/core';
import { counted, listed, mm, scaleFactor } from '../numbers.ts';

const deg = (x: number): string =>
  `${(Math.round(x * 10) / 10).toString().replace('-', '\u2212')}\u00b0`;

/** Turns about the fixed axes as an instruction; turns of nothing are left out. */
export function turnWords(turns: readonly number[]): string {
  const said = turns
    .map((t, i) => (Math.abs(t) < 0.05 ? null : `${deg(t)} about ${'XYZ'[i]}`))
    .filter((t) => t !== null);
  return said.length ? `turn it ${said.join(', then ')}` : 'leave it as it is in the file';
}

/** The verdict and what stands behind it, in sentences. */
export function proofWords(scan: ScanPart): string[] {
  const { verdict, machine, scale, rotation, translationMm, clearanceMm, error } = scan;
  if (verdict === 'unreadable')
    return [error ? `${error.message}${error.remedy ? ` ${error.remedy}` : ''}` : 'The file cannot be read.']; // prettier-ignore
  const out: string[] = [];
  const room = clearanceMm ? mm(Math.min(...clearanceMm)) : '-';
  if (verdict === 'fits')
    out.push(`Goes on ${machine} as it lies in the file, with ${room} mm to spare where it is tightest.`); // prettier-ignore
  if ((verdict === 'fits-turned' || verdict === 'fits-tilted') && rotation)
    out.push(`Goes on ${machine} with ${room} mm to spare: ${turnWords(rotation.turnsDeg)} (fixed axes)${translationMm ? `, its origin then at ${translationMm.map((x) => mm(x).replace('-', '\u2212')).join(', ')} mm from the middle of the plate` : ''}.`); // prettier-ignore
  if (verdict.startsWith('fits') && scale)
    out.push(`That is certain: the placement is at hand. It would still fit at ${scaleFactor(scale.atLeast)} times its size.`); // prettier-ignore
  if (verdict === 'too-big' && scale) {
    out.push(`Fits in no orientation on any machine here: ${scale.proved ? 'proved over all rotations' : 'found, not proved'}, the most that could fit is ${(100 * scale.atMost).toFixed(1)} % of its size.`); // prettier-ignore
    out.push(`At ${(Math.floor(1000 * scale.atLeast) / 10).toFixed(1)} % it does fit.`);
    if (scan.piecesAtLeast && scan.piecesAtLeast.count > 1)
      out.push(`Fewer than ${scan.piecesAtLeast.count} pieces are impossible: ${scan.piecesAtLeast.because.replace(/\.$/, '')}.`); // prettier-ignore
  }
  if (verdict === 'undecided' && scale)
    out.push(`It fits at ${scaleFactor(scale.atLeast)} of its size, and above ${scaleFactor(scale.atMost)} nothing fits; full size lies between.`); // prettier-ignore
  if (scan.unit?.doubt)
    out.push(`Its unit is in doubt: ${scan.unit.doubt.evidence}. Taken as mm; it may be ${scan.unit.doubt.units.join(' or ')}.`); // prettier-ignore
  return out;
}

/** Signs of the marks in the drawings, one letter per kind of flaw. */
export const FLAWS: Readonly<Record<string, { readonly letter: string; readonly word: string }>> = {
  'open-edges': { letter: 'O', word: 'open edges' },
  'non-manifold-edges': { letter: 'N', word: 'edges of three or more facets' },
  'flipped-neighbours': { letter: 'F', word: 'facets that face the wrong way' },
  'flat-facets': { letter: 'D', word: 'facets without area' },
  'duplicate-facets': { letter: '2', word: 'facets there twice' },
};

/** The state of the mesh in a sentence, and the flaws one by one. */
export function meshWords(mesh: Health): { readonly verdict: string; readonly flaws: string[] } {
  const flaws: string[] = [];
  const flaw = (count: number, code: string): void => {
    const f = FLAWS[code];
    if (count > 0 && f) flaws.push(`${f.letter}: ${count} ${f.word}`);
  };
  flaw(mesh.openEdges.count, 'open-edges');
  flaw(mesh.nonManifoldEdges.count, 'non-manifold-edges');
  flaw(mesh.flippedNeighbours.count, 'flipped-neighbours');
  flaw(mesh.degenerateFacets.flat + mesh.degenerateFacets.collapsed, 'flat-facets');
  flaw(mesh.duplicateFacets.same + mesh.duplicateFacets.opposite, 'duplicate-facets');
  if (mesh.shells.insideOut) flaws.push(`${counted(mesh.shells.insideOut, 'shell')} inside out`);
  if (mesh.shells.overlapping)
    flaws.push(`${counted(mesh.shells.overlapping, 'pair')} of overlapping bodies`);
  const words = {
    sound: 'The mesh is sound: closed, all facets facing out.',
    usable: 'The mesh can be used, with warnings.',
    open: 'The mesh is open, so its volume is unknown.',
  };
  return { verdict: words[mesh.verdict], flaws };
}

export { deg, listed };
