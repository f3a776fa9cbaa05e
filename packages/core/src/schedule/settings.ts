import { z } from 'zod';
import { isTimeZone } from './clock.ts';

/** A span of the day, wall-clock time; "22:00-07:00" runs past midnight, "00:00-24:00" is all day. */
const span = z
  .string()
  .regex(
    /^([01]\d|2[0-3]):[0-5]\d-(([01]\d|2[0-3]):[0-5]\d|24:00)$/,
    'Write a span as HH:MM-HH:MM, for example 08:00-22:00.',
  );

const PRACTICE = 'Common practice, no source.';
const weekday = (value: string[]) => z.array(span).default(value);

const attendedSchema = z
  .strictObject({
    mon: weekday(['08:00-22:00']),
    tue: weekday(['08:00-22:00']),
    wed: weekday(['08:00-22:00']),
    thu: weekday(['08:00-22:00']),
    fri: weekday(['08:00-22:00']),
    sat: weekday(['08:00-22:00']),
    sun: weekday(['08:00-22:00']),
  })
  .prefault({});

/** What the planner needs to know about people and house rules. Times of day are wall-clock times. */
export const scheduleSettingsSchema = z
  .strictObject({
    timeZone: z
      .string()
      .refine(isTimeZone, 'Not a time zone of the tz database; for example Europe/Berlin.')
      .default('UTC')
      .describe('Zone of the tz database in which all times of day below are meant.'),
    attended: attendedSchema.describe(
      `Spans per weekday in which somebody can clear a plate and start a print. ${PRACTICE}`,
    ),
    quiet: z
      .array(span)
      .default([])
      .describe('Spans of every day to be kept quiet. None by default.'),
    quietMeans: z
      .enum(['no-starts', 'no-printing'])
      .default('no-starts')
      .describe(
        'no-starts: nothing is started or cleared in quiet hours, but a print may run; no-printing: machines rest.',
      ),
    latestUnattendedFinish: z
      .string()
      .regex(/^([01]\d|2[0-3]):[0-5]\d$/, 'Write a time as HH:MM.')
      .nullable()
      .default(null)
      .describe(
        'A print that ends with nobody there must have ended by the first such time of day after the people left. None by default.',
      ),
    changeoverMin: z
      .number()
      .min(0)
      .max(240)
      .default(15)
      .describe(`Minutes to clear a plate and start the next print. ${PRACTICE}`),
    shareBelowH: z
      .number()
      .min(0)
      .default(3)
      .describe(
        `Pieces shorter than this (h) may share a plate with others of their group. ${PRACTICE}`,
      ),
    sharedPlateMaxH: z
      .number()
      .positive()
      .default(10)
      .describe(`Longest shared plate (h): a failure loses all of it. ${PRACTICE}`),
    plateGapMm: z
      .number()
      .min(0)
      .default(8)
      .describe(`Least gap between pieces on one plate (mm). ${PRACTICE}`),
    spoolReserveShare: z
      .number()
      .min(0)
      .max(0.9)
      .default(0.05)
      .describe(`Share of a spool that is not counted on (end of the winding, purge). ${PRACTICE}`),
  })
  .describe('Attended hours and house rules for the plan.');

export type ScheduleSettings = z.infer<typeof scheduleSettingsSchema>;
export const WEEKDAYS = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'] as const;
