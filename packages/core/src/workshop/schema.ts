import * as z from 'zod';
import { estimateSettingsSchema, materialsSettingsSchema } from '../estimate/index.ts';
import { joinSettingsSchema, machineJoinSettingsSchema } from '../join/index.ts';
import { orientSettingsSchema } from '../orient/index.ts';
import { scheduleSettingsSchema } from '../schedule/index.ts';
import { splitSettingsSchema } from '../split/index.ts';

/** Above 0, in mm. */
const length = z.number().positive();
const point2 = z.tuple([z.number(), z.number()]);
const point3 = z.tuple([z.number(), z.number(), z.number()]);

const plateSchema = z
  .union([
    z.strictObject({
      box: z.tuple([length, length]).describe('width along X and depth along Y, mm'),
    }),
    z.strictObject({ round: length.describe('diameter, mm') }),
    z.strictObject({
      outline: z
        .array(point2)
        .min(3)
        .describe('corners [x, y] of a convex plate in order, mm, in the frame of the keep-outs'),
    }),
  ])
  .describe('the build platform: one of box, round, outline');

const keepOutSchema = z.strictObject({
  name: z.string().min(1).describe('what stands there'),
  min: point3.describe('lower corner [x, y, z], mm'),
  max: point3.describe('upper corner [x, y, z], mm'),
});

const marginSchema = z.strictObject({
  side: z.number().nonnegative().default(0).describe('kept free all round the plate, mm'),
  top: z.number().nonnegative().default(0).describe('kept free below the top, mm'),
});

/** Settings that belong to one machine, by the room that reads them. */
export const machineSections = {
  estimate: estimateSettingsSchema.prefault({}),
  orient: orientSettingsSchema.prefault({}),
  join: machineJoinSettingsSchema.prefault({}),
} as const;

/** Settings that hold for the whole workshop, by the room that reads them. */
export const globalSections = {
  materials: materialsSettingsSchema,
  join: joinSettingsSchema.prefault({}),
  split: splitSettingsSchema.prefault({}),
  schedule: scheduleSettingsSchema.prefault({}),
} as const;

const machineSchema = z.strictObject({
  name: z.string().min(1).describe('how the machine is called in tables'),
  plate: plateSchema,
  height: length.describe('greatest height of a print, mm'),
  margin: marginSchema.prefault({}),
  keepOut: z.array(keepOutSchema).default([]).describe('boxes on the plate that a part must avoid'),
  ...machineSections,
});

/** `workshop.yaml`: the machines of a workshop and how it works. Lengths in mm. */
export const workshopSchema = z.strictObject({
  machines: z.array(machineSchema).min(1),
  ...globalSections,
});

export type WorkshopFile = z.output<typeof workshopSchema>;
export type MachineFile = WorkshopFile['machines'][number];
