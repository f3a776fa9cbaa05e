import { z } from 'zod';

/**
 * The weights of a plan's cost. The cost is counted in millimetres of visible seam: a weight says
 * how many millimetres of seam one unit of a term is worth to the maker. All defaults are common
 * practice, no source; they only rank plans with equally many pieces.
 */
const weight = (value: number, unit: string, what: string) =>
  z.number().nonnegative().default(value).describe(`${what}; mm of seam per ${unit}`);

export const splitWeightsSchema = z.strictObject({
  seam: weight(1, 'mm', 'Outline of the cuts on the outer skin, to be filled and sanded'),
  seenSeam: weight(4, 'mm', 'The same on the side that is seen, on top; only with a seen side'),
  stress: weight(
    100,
    'MPa',
    'Bending stress in the glue when the lighter side hangs out level, at most 5 MPa a cut',
  ),
  noDowel: weight(60, 'region', 'Regions of a cut with no room for two dowels'),
  sliver: weight(0.2, 'mm2', 'Cut face with less than the least thickness behind it'),
  thinWall: weight(20, 'mm', 'Regions of a cut thinner than the least thickness, by how much'),
  offPlate: weight(40, 'piece', 'Pieces that cannot stand on any of their cut faces'),
  overhang: weight(0.005, 'mm2', 'Skin facing down steeper than 45 degrees, standing on a cut'),
  supports: weight(
    0.5,
    'cm3',
    'Supports that the pieces need in their best ways up; of the plans listed, not in the search',
  ),
  imbalance: weight(
    50,
    'unit',
    'Largest piece volume over the mean, less one; in the search |difference| / sum per cut',
  ),
  feature: weight(30, 'feature', 'Small holes and rings of detail that are cut in two'),
  asymmetry: weight(40, 'plane', 'Mirror planes of the part (three at most) that the plan breaks'),
  oddAngle: weight(
    15,
    'cut',
    'Cuts neither square to an axis of the part nor at 45 degrees to two of them, nor along a flat face or a mirror plane, nor as given',
  ),
  looseBody: weight(100, 'body', 'Bodies that fall off a piece and are glued on for themselves'),
});

export const splitSettingsSchema = z.strictObject({
  weights: splitWeightsSchema.prefault({}).describe('Weights of the cost of a plan'),
  leastThicknessMm: z
    .number()
    .nonnegative()
    .default(2)
    .describe('Least wanted thickness of walls in a cut and of material beside it, mm'),
  dowelRoomMm: z
    .number()
    .positive()
    .default(6)
    .describe('Mean thickness of a region from which dowels find room, mm'),
  allowanceMm: z
    .number()
    .nonnegative()
    .default(0)
    .describe('Room kept free round every piece on top of the machine margins, mm'),
  featureMm: z
    .number()
    .nonnegative()
    .default(20)
    .describe('Rims and rings of edges up to this size count as small features, mm'),
  offsets: z
    .int()
    .min(11)
    .max(999)
    .default(119)
    .describe('Cut offsets sampled per direction; one less than a multiple of 60 hits fractions'),
  beam: z.int().min(1).max(64).default(6).describe('Unfinished plans kept at each step'),
  fewerMoves: z
    .int()
    .min(0)
    .max(100_000)
    .default(2000)
    .describe(
      'Moves of planes, for each piece, in the search for a plan of one piece less, where fewer than found are not proved impossible; 0 leaves it out',
    ),
  settleMoves: z
    .int()
    .min(0)
    .max(100_000)
    .default(1000)
    .describe(
      'Moves of planes, for each piece, in the search for shorter seams with as many pieces, from three pieces on; 0 leaves it out',
    ),
  searchFacets: z
    .int()
    .min(1000)
    .default(3000)
    .describe('Facets of the coarser mesh that is searched on; figures come from the part itself'),
  densityGPerCm3: z
    .number()
    .positive()
    .default(1.24)
    .describe('Density for weights hanging from a joint, g/cm3 (polylactide, makers data sheets)'),
  fitCells: z
    .int()
    .min(1)
    .default(4000)
    .describe('Work allowed per piece to certify that it fits, cells of rotations'),
});

export type SplitSettings = z.infer<typeof splitSettingsSchema>;
