import { z } from 'zod';

const point = z.tuple([z.number(), z.number(), z.number()]);

export const ROLES = ['load-bearing', 'display', 'fine detail', 'weight'] as const;
export type Role = (typeof ROLES)[number];

/** Walls and infill by role where neither the part nor the user says otherwise; common practice, no source. */
export const ROLE_RECIPES: Readonly<Record<Role, { readonly walls: number; readonly infillShare: number }>> = {
  'load-bearing': { walls: 5, infillShare: 0.3 },
  display: { walls: 3, infillShare: 0.15 },
  'fine detail': { walls: 3, infillShare: 0.2 },
  weight: { walls: 6, infillShare: 0.5 },
}; // prettier-ignore

export const placeSchema = z.strictObject({
  turn: point.default([0, 0, 0]).describe('Turns about the fixed axes X, then Y, then Z, degrees'),
  move: point.default([0, 0, 0]).describe('Then this move, mm'),
});
export type Place = z.infer<typeof placeSchema>;

export const kitPartSchema = z.strictObject({
  file: z.string().min(1).describe('Part file, as seen from the kit file'),
  quantity: z.int().min(0).max(999).default(1).describe('How many are wanted'),
  group: z.string().min(1).optional().describe('Part of the figure it belongs to'),
  role: z.enum(ROLES).default('display').describe('What it is for; sets walls and infill'),
  material: z.string().default('PLA').describe('Filament, by its name in the workshop file'),
  unit: z.enum(['mm', 'cm', 'in', 'm']).default('mm').describe('Unit of the file, where it states none'),
  walls: z.int().min(1).max(50).optional().describe('Lines in the wall, instead of the role says'),
  infill: z.number().min(0).max(1).optional().describe('Share of infill, instead of the role says'),
  grams: z.number().positive().optional().describe('Mass of one, g, as weighed; for the balance'),
  twinOf: z.string().optional().describe('File that this one is the mirror image of'),
  copyOf: z.string().optional().describe('File that this one is the same as'),
  process: z
    .enum(['filament', 'resin', 'other'])
    .default('filament')
    .describe('resin and other are left out of the plan'),
  place: z
    .union([z.literal('as modelled'), z.array(placeSchema)])
    .default('as modelled')
    .describe('Where it stands in the figure; one place per copy'),
}); // prettier-ignore
export type KitPart = z.infer<typeof kitPartSchema>;

/** `kit.yaml` */
export const kitFileSchema = z
  .strictObject({
    name: z.string().min(1).describe('What is being made'),
    order: z.array(z.string()).default([]).describe('Groups in the order in which they are wanted'),
    rods: z
      .array(
        z.strictObject({
          name: z.string(),
          diameter: z.number().positive().describe('mm'),
          from: point.describe('mm, frame of the figure'),
          to: point.describe('mm, frame of the figure'),
          grams: z.number().min(0).optional().describe('Mass; the balance leaves it out without one'),
        }),
      )
      .default([]),
    base: z
      .strictObject({
        outline: z.array(z.tuple([z.number(), z.number()])).min(3).describe('Corners on the floor, mm'),
        grams: z.number().min(0).describe('Mass of the base plate, g'),
        height: z.number().min(0).default(0).describe('Its thickness, mm; it lies on the floor'),
      })
      .optional()
      .describe('Base plate the figure is fixed to'),
    parts: z.array(kitPartSchema),
  })
  .describe('A kit: its parts, groups, materials and places.'); // prettier-ignore
export type Kit = z.infer<typeof kitFileSchema>;

const alikeSchema = z.strictObject({
  file: z.string(),
  of: z.string(),
  kind: z.enum(['copy', 'twin']).describe('copy: the same body; twin: its mirror image only'),
  errorMm: z.number().describe('Largest distance of matching vertices after the turn, mm'),
});

/** `scantling kit --json` */
export const kitResultSchema = z
  .strictObject({
    schema: z.literal('scantling/kit@1'),
    name: z.string(),
    parts: z.int(),
    pieces: z.int().describe('Parts times their quantity'),
    added: z.array(z.string()).describe('Files that were not in the kit file before'),
    gone: z.array(z.string()).describe('Files of the kit file that are not there'),
    alike: z.array(alikeSchema).describe('Copies and mirror images found by computation'),
    missingTwins: z
      .array(z.strictObject({ file: z.string(), missing: z.string() }))
      .describe('Left or right parts whose other side is not there'),
    unlikeTwins: z
      .array(z.strictObject({ file: z.string(), other: z.string() }))
      .describe('Left and right by name, but no mirror images'),
    wrongClaims: z
      .array(z.strictObject({ file: z.string(), of: z.string(), claim: z.enum(['copyOf', 'twinOf']) }))
      .describe('What the kit file says and the meshes deny'),
    unreadable: z.array(z.strictObject({ file: z.string(), because: z.string() })),
  })
  .describe('What the kit holds, and which parts are copies or mirror images of each other.'); // prettier-ignore
export type KitResult = z.infer<typeof kitResultSchema>;

/** Walls and infill of a part: its own, else its role's. */
export const recipeOf = (
  part: Pick<KitPart, 'role' | 'walls' | 'infill'>,
): { readonly walls: number; readonly infillShare: number } => ({
  walls: part.walls ?? ROLE_RECIPES[part.role].walls,
  infillShare: part.infill ?? ROLE_RECIPES[part.role].infillShare,
});
