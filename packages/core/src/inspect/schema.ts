import { z } from 'zod';

const count = z.number().int().nonnegative();
const point = z.tuple([z.number(), z.number(), z.number()]).describe('x, y, z in mm');
const places = z.array(point).describe('Where, at most 20 places, mm');

export const FINDING_CODES = [
  'open-edges',
  'non-manifold-edges',
  'flipped-neighbours',
  'one-sided',
  'collapsed-facets',
  'flat-facets',
  'duplicate-facets',
  'inside-out-shells',
  'overlapping-shells',
] as const;

/** The state of one part's mesh, as data; words for people are made elsewhere. */
export const healthSchema = z.strictObject({
  verdict: z
    .enum(['sound', 'usable', 'open'])
    .describe('sound; usable with warnings; open: it encloses no known volume'),
  findings: z.array(z.enum(FINDING_CODES)).describe('What the verdict rests on, gravest first'),
  triangles: count,
  vertices: count.describe('Vertices that a facet names'),
  shells: z.strictObject({
    count,
    bodies: count,
    voids: count.describe('Hollows inside a body'),
    insideOut: count.describe('Shells that face inwards with no body around them'),
    open: count,
    overlapping: count.describe(
      'Pairs of bodies that share space, as far as sampled vertices tell',
    ),
    overlapsComplete: z.boolean().describe('false when there were too many pairs to try them all'),
  }),
  openEdges: z.strictObject({
    count,
    rims: count.describe('Connected rims of open edges'),
    longest: z
      .array(
        z.strictObject({
          edges: count,
          lengthMm: z.number(),
          centreMm: point,
          closed: z.boolean().describe('Whether the rim returns to its start'),
        }),
      )
      .describe('The 20 longest rims'),
  }),
  nonManifoldEdges: z.strictObject({ count, at: places }).describe('Edges of three or more facets'),
  flippedNeighbours: z
    .strictObject({ count, at: places })
    .describe('Edges whose two facets face opposite ways'),
  degenerateFacets: z.strictObject({
    collapsed: count.describe('Facets that name a vertex twice'),
    flat: count.describe('Facets whose corners lie in a line'),
    at: places,
  }),
  duplicateFacets: z.strictObject({
    same: count.describe('Repeated facets with the same side out'),
    opposite: count.describe('Facets back to back on another'),
    at: places,
  }),
  measuredAfter: z
    .strictObject({ dropped: count, turned: count })
    .describe('Facets left out and turned over before measuring, so that flaws do not falsify it'),
  volumeMm3: z
    .number()
    .nullable()
    .describe('Signed volume, mm3; overlapping bodies count twice; null for an open mesh'),
  areaMm2: z.number().describe('Surface, mm2'),
  centreMm: point.nullable().describe('Centre of volume, mm; null for an open mesh'),
  inertiaMm5: z
    .tuple([
      z.number(),
      z.number(),
      z.number(),
      z.number(),
      z.number(),
      z.number(),
      z.number(),
      z.number(),
      z.number(),
    ]) // prettier-ignore
    .nullable()
    .describe(
      'Inertia tensor about the centre at unit density, row by row, mm5; null for an open mesh',
    ),
  selfIntersections: z
    .literal('not checked')
    .describe('A shell that crosses itself is not looked for'),
});

export type Health = z.infer<typeof healthSchema>;
export type FindingCode = (typeof FINDING_CODES)[number];
