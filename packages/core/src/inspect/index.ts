export { inspectPart } from './inspect.ts';
export { healthSchema, FINDING_CODES, type FindingCode, type Health } from './schema.ts';
export { findingWords, VERDICT_WORDS } from './words.ts';
export { repairForSolid, type Refusal, type Repair, type RepairStep } from './repair.ts';
export { solidFromShells } from './assemble.ts';
export { openRims, type Rim } from './openEdges.ts';
export { shellRoles, type Shell, type ShellRole } from './shellRoles.ts';
export { topologyOf, type Topology } from './topology.ts';
