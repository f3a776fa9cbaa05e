import type { FindingCode, Health } from './schema.ts';

/** The verdicts as a person would say them. */
export const VERDICT_WORDS: Record<Health['verdict'], string> = {
  sound: 'sound',
  usable: 'usable with warnings',
  open: 'open (volume unknown)',
};

const things = (n: number, one: string, many = `${one}s`): string => `${n} ${n === 1 ? one : many}`;

/** One short phrase for each finding, gravest first. */
export function findingWords(health: Health): string[] {
  const words: Record<FindingCode, () => string> = {
    'open-edges': () =>
      `${things(health.openEdges.count, 'open edge')} in ${things(health.openEdges.rims, 'rim')}`,
    'non-manifold-edges': () =>
      `${things(health.nonManifoldEdges.count, 'edge')} shared by three or more facets`,
    'flipped-neighbours': () =>
      `${things(health.flippedNeighbours.count, 'edge')} between facets that face opposite ways`,
    'one-sided': () => 'a surface with only one side',
    'collapsed-facets': () =>
      `${things(health.degenerateFacets.collapsed, 'facet')} with two corners in one`,
    'flat-facets': () => `${things(health.degenerateFacets.flat, 'facet')} without area`,
    'duplicate-facets': () =>
      things(health.duplicateFacets.same + health.duplicateFacets.opposite, 'duplicate facet'),
    'inside-out-shells': () => things(health.shells.insideOut, 'inside-out shell'),
    'overlapping-shells': () =>
      `${things(health.shells.overlapping, 'pair')} of shells that overlap: volume counted twice there`,
  };
  return health.findings.map((code) => words[code]());
}
