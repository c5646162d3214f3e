import type { TensionOptions } from '../../application/contract.ts';

type As = TensionOptions['as'];

/** What is read off a spoke, by kind of readings. */
export const readAs: Record<As, { label: string; unit: string | undefined }> = {
  tension: { label: 'Tension', unit: 'N' },
  gauge: { label: 'Gauge reading', unit: undefined },
  pitch: { label: 'Pitch', unit: 'Hz' },
};

export const kindsOfReading: Record<As, string> = {
  tension: 'Tension in N',
  gauge: 'The number on a gauge',
  pitch: 'Pitch in Hz of a plucked spoke',
};
