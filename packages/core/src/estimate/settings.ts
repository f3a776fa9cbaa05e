import { z } from 'zod';

const PRACTICE = 'common practice, no source';
const figure = (value: number, unit: string, what: string, source = PRACTICE) =>
  z.number().nonnegative().default(value).describe(`${what}, ${unit} (${source})`);
const positive = (value: number, unit: string, what: string, source = PRACTICE) =>
  z.number().positive().default(value).describe(`${what}, ${unit} (${source})`);

/** How one machine prints: what the mass and the hours of a part are computed from. */
export const estimateSettingsSchema = z
  .strictObject({
    filamentMm: positive(1.75, 'mm', 'Diameter of the filament', 'trade size; the other is 2.85'),
    lineWidthMm: positive(0.45, 'mm', 'Width of a printed line, for a 0.4 mm nozzle'),
    layerHeightMm: positive(0.2, 'mm', 'Height of a layer'),
    walls: z.int().min(1).max(50).default(3).describe(`Lines in the wall (${PRACTICE})`),
    skinMm: figure(0.8, 'mm', 'Solid material under upper and over lower faces'),
    infillShare: z
      .number()
      .min(0)
      .max(1)
      .default(0.15)
      .describe(`Share of the inside that is filled, 0 to 1 (${PRACTICE})`),
    supportShare: z
      .number()
      .min(0)
      .max(1)
      .default(0.15)
      .describe(`Share of the space under overhangs that supports fill, 0 to 1 (${PRACTICE})`),
    brimMm: figure(0, 'mm', 'Width of the brim on the first layer'),
    purgeG: figure(1, 'g', 'Filament lost per print to purge and prime'),
    wallSpeed: positive(80, 'mm/s', 'Speed of wall lines'),
    skinSpeed: positive(100, 'mm/s', 'Speed of solid lines'),
    infillSpeed: positive(120, 'mm/s', 'Speed of infill lines'),
    travelSpeed: positive(200, 'mm/s', 'Speed without extrusion'),
    acceleration: positive(2000, 'mm/s2', 'Acceleration of every move'),
    meltFlow: positive(12, 'mm3/s', 'Most that the nozzle melts'),
    cornerDeg: z
      .number()
      .positive()
      .max(180)
      .default(40)
      .describe(`A wall line stops at corners sharper than this, degrees (${PRACTICE})`),
    layerChangeS: figure(1, 's', 'Time lost per layer change'),
    minLayerS: figure(8, 's', 'Least time per layer, for cooling'),
    heatingS: figure(420, 's', 'Heating and preparing before each print'),
    motionFactor: positive(1, 'factor', 'Real over computed time of moves limited by speed', 'fitted to the log'), // prettier-ignore
    flowFactor: positive(1, 'factor', 'Real over computed time of moves limited by melt flow', 'fitted to the log'), // prettier-ignore
    overheadFactor: positive(1, 'factor', 'Real over computed time of everything else', 'fitted to the log'), // prettier-ignore
    errorShare: z
      .number()
      .min(0)
      .max(2)
      .default(0.35)
      .describe(
        `Half width of low - likely - high as a share of the likely hours; a fit to the log replaces it (${PRACTICE})`,
      ),
  })
  .describe('How this machine prints: figures for filament and hours.');

export type EstimateSettings = z.infer<typeof estimateSettingsSchema>;

export const materialSchema = z.strictObject({
  densityGPerCm3: z.number().positive().describe('Density, g/cm3'),
  source: z.string().default('given by the user').describe('Where the density comes from'),
  spoolG: z.number().positive().default(1000).describe('Filament on a full spool, g'),
});
export type Material = z.infer<typeof materialSchema>;

const DATA_SHEET = 'makers data sheets as collected by trade guides';
const MEMORY = 'handbook value, from memory';

/** Densities at 23 degrees C; middle of the range where the sources give one. */
export const MATERIALS: Readonly<Record<string, Material>> = {
  PLA: { densityGPerCm3: 1.24, source: `${DATA_SHEET}, 1.24-1.26`, spoolG: 1000 },
  PETG: { densityGPerCm3: 1.27, source: DATA_SHEET, spoolG: 1000 },
  ABS: { densityGPerCm3: 1.04, source: DATA_SHEET, spoolG: 1000 },
  PC: { densityGPerCm3: 1.2, source: DATA_SHEET, spoolG: 1000 },
  PA6: { densityGPerCm3: 1.14, source: MEMORY, spoolG: 1000 },
  PA12: { densityGPerCm3: 1.01, source: MEMORY, spoolG: 1000 },
  ASA: { densityGPerCm3: 1.07, source: MEMORY, spoolG: 1000 },
  TPU: { densityGPerCm3: 1.21, source: `${MEMORY}, 1.20-1.22`, spoolG: 1000 },
};

export const materialsSettingsSchema = z
  .record(z.string().min(1), materialSchema)
  .default({})
  .describe(
    `Filaments of your own by name, or other figures for one of ${Object.keys(MATERIALS).join(', ')}.`,
  );
export type MaterialsSettings = z.infer<typeof materialsSettingsSchema>;
