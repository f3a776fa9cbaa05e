import type { Scan, ScanPart } from '@scantling/core';
import { csv } from './csv.ts';

type Field = readonly [
  head: string,
  value: (part: ScanPart) => string | number | boolean | null | undefined,
];

const axes = ['x', 'y', 'z'] as const;

/** One row per part, raw numbers, units in the heads. */
const FIELDS: readonly Field[] = [
  ['file', (p) => p.file],
  ['part', (p) => p.part],
  ['verdict', (p) => p.verdict],
  ['machine', (p) => p.machine],
  ...axes.map((axis, i): Field => [`size_${axis}_mm`, (p) => p.size?.[i]]),
  ['scale_at_least', (p) => p.scale?.atLeast],
  ['scale_at_most', (p) => p.scale?.atMost],
  ['scale_proved', (p) => p.scale?.proved],
  ['pieces_at_least', (p) => p.piecesAtLeast?.count],
  ...axes.map((axis, i): Field => [`turn_${axis}_deg`, (p) => p.rotation?.turnsDeg[i]]),
  ...axes.map((axis, i): Field => [`clearance_${axis}_mm`, (p) => p.clearanceMm?.[i]]),
  ['mesh', (p) => p.mesh?.verdict],
  ['triangles', (p) => p.mesh?.triangles],
  ['volume_mm3', (p) => p.mesh?.volumeMm3],
  ['supports_as_modelled_mm3', (p) => p.supports?.asModelledMm3],
  ['supports_best_mm3', (p) => p.supports?.bestMm3],
  ['unit', (p) => p.unit?.taken],
  ['unit_doubt', (p) => p.unit?.doubt?.units.join(' ')],
  ['error', (p) => p.error?.code],
];

export const scanCsv = (scan: Scan): string =>
  csv(
    FIELDS.map(([head]) => head),
    scan.parts.map((part) => FIELDS.map(([, value]) => value(part))),
  );
