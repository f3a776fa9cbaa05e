export { workshopSchema } from './schema.ts';
export { parseWorkshop, workshopOf, type Machine, type Workshop } from './parse.ts';
export { workshopTemplate } from './template.ts';
