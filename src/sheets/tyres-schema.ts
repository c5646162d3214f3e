import { z } from 'zod';
import { designationPattern } from './designation.ts';
import { tyresQuantities } from './tyres-quantities.ts';

/**
 * The tyres sheet as a person writes it, described once: the type, the check and the published JSON
 * Schema (schemas/tyres.schema.json) all come from here.
 */

const quantity = (path: string, description: string) => {
  const { min, max } = tyresQuantities[path];
  return z.number().min(min).max(max).describe(description);
};

const end = (at: 'front' | 'rear') =>
  z
    .strictObject({
      tyre: z
        .strictObject({
          designation: z
            .string()
            .regex(designationPattern)
            .describe('ETRTO designation on the sidewall: width-bead seat diameter, mm, 28-622.'),
          measuredWidthMm: quantity(
            `${at}.tyre.measuredWidthMm`,
            'Width across the mounted, inflated tyre, mm. Default: the designation, with a wider interval.',
          ).optional(),
          maximumBar: quantity(
            `${at}.tyre.maximumBar`,
            'Maximum on the sidewall, bar. This or maximumPsi must be there.',
          ).optional(),
          maximumPsi: quantity(`${at}.tyre.maximumPsi`, 'The same in psi.').optional(),
          minimumBar: quantity(
            `${at}.tyre.minimumBar`,
            'Minimum on the sidewall, bar. Default: none given.',
          ).optional(),
          minimumPsi: quantity(`${at}.tyre.minimumPsi`, 'The same in psi.').optional(),
        })
        .describe('The tyre.'),
      rim: z
        .strictObject({
          innerWidthMm: quantity(`${at}.rim.innerWidthMm`, 'Between the flanges, mm.'),
          outerWidthMm: quantity(
            `${at}.rim.outerWidthMm`,
            'Outside, at its widest, mm; for the ratio to the tyre.',
          ).optional(),
          bead: z
            .enum(['hooked', 'hookless'])
            .describe('Whether hooks hold the bead, or the flanges are straight-sided (hookless).'),
          maximumBar: quantity(
            `${at}.rim.maximumBar`,
            'Maximum for the rim, bar, from the rim or its manual. Default: not known, with a warning.',
          ).optional(),
          maximumPsi: quantity(`${at}.rim.maximumPsi`, 'The same in psi.').optional(),
        })
        .describe('The rim.'),
      pressureBar: quantity(`${at}.pressureBar`, 'What is in it now, bar, to compare.').optional(),
      pressurePsi: quantity(`${at}.pressurePsi`, 'The same in psi.').optional(),
    })
    .describe(`The ${at} wheel.`);

/** The whole sheet. */
export const tyresSheetSchema = z
  .strictObject({
    title: z
      .string()
      .min(1)
      .max(200)
      .regex(/^[^\p{Cc}\p{Zl}\p{Zp}]*$/u)
      .describe('Name for the table.'),
    invented: z.boolean().describe('true: the data are invented. Default false.').default(false),
    system: z
      .strictObject({
        massKg: quantity('system.massKg', 'Rider, bicycle and all that is carried, kg.'),
        massStandardUncertaintyKg: quantity(
          'system.massStandardUncertaintyKg',
          'Standard uncertainty of the mass, kg. Default 0.5 (common practice, no source).',
        ).default(0.5),
        frontShare: quantity(
          'system.frontShare',
          'Share of the weight on the front wheel, in riding position: a scale under one wheel, the other as high. Default 0.42 (common practice, no source).',
        ).default(0.42),
        frontShareStandardUncertainty: quantity(
          'system.frontShareStandardUncertainty',
          'Standard uncertainty of that share. Default 0.02 (common practice, no source).',
        ).default(0.02),
      })
      .describe('What the tyres carry.'),
    surface: z
      .enum(['smooth', 'worn', 'rough', 'gravel'])
      .describe(
        'The road: smooth asphalt, worn asphalt, rough lanes (patched, coarse, setts), gravel.',
      ),
    aim: z
      .enum(['speed', 'balance', 'comfort'])
      .describe('Which part of the range: the firmer, all of it, the softer. Default balance.')
      .default('balance'),
    front: end('front'),
    rear: end('rear'),
  })
  .describe('Two tyres on their rims, the load and the road; pressures above the air’s.');

/** A sheet with its defaults filled in. */
export type FilledTyresSheet = z.output<typeof tyresSheetSchema>;
