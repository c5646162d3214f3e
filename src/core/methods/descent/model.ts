/**
 * The brake as four bodies, each of one temperature: track, carrier, pads with their backing, caliper with
 * its fluid. What flows between them and to the air, W, with the heat content as the state, so that heat
 * which is counted once is neither lost nor made:
 *
 *   track   (1−p)·P − h·A·(T−T∞) − ε·σ·A·(T⁴−T∞⁴) − G_tc·(T−T_c) − on·G_p·(T−T_p)
 *   carrier G_tc·(T_t−T) − h·A·(T−T∞) − ε·σ·A·(T⁴−T∞⁴) − G_h·(T−T∞)
 *   pads    p·P + on·G_p·(T_t−T) − h·A·(T−T∞) − G_k·(T−T_k)
 *   caliper G_k·(T_p−T) − h·A·(T−T∞)
 *
 * Runge–Kutta of fourth order; steps are far below the fastest time constant (about 10 s).
 */
import { chromiumSteelConductivity, radiatedPerArea, uprightPlate } from '../../physics/index.ts';
import { heatOf, temperatureOf } from './heat-content.ts';
import type { BrakeBody } from './parts.ts';

/** What is not known of a brake, as it is taken in one run. */
export interface BrakeGuess {
  emissivity: number;
  /** Times the mass of the track. */
  massFactor: number;
  /** Times the ways for heat into pads and caliper. */
  padFactor: number;
  /** Times the ways for heat from the track to carrier and hub. */
  carrierFactor: number;
}

/** One brake in one run, ready to be stepped. */
export interface BrakeState {
  body: BrakeBody;
  guess: BrakeGuess;
  airC: number;
  /** Heat of track, carrier, pads, caliper above 0 °C; then given to the air, radiated, led to the hub: J. */
  heatJ: Float64Array;
}

/** A brake as warm as given, °C; all nodes at the air's temperature without. */
export function brakeAt(
  body: BrakeBody,
  guess: BrakeGuess,
  airC: number,
  from?: { trackC: number; carrierC: number; padsC: number; caliperC: number },
): BrakeState {
  const { trackC, carrierC, padsC, caliperC } = from ?? {
    trackC: airC,
    carrierC: airC,
    padsC: airC,
    caliperC: airC,
  };
  return {
    body,
    guess,
    airC,
    heatJ: Float64Array.of(
      guess.massFactor * heatOf(body.track, trackC),
      heatOf(body.carrier, carrierC),
      body.padsJPerK * padsC,
      body.caliperJPerK * caliperC,
      0,
      0,
      0,
    ),
  };
}

export const trackC = ({ body, guess, heatJ }: BrakeState): number =>
  temperatureOf(body.trackTable, heatJ[0] / guess.massFactor);
export const carrierC = ({ body, heatJ }: BrakeState): number =>
  temperatureOf(body.carrierTable, heatJ[1]);
export const padsC = ({ body, heatJ }: BrakeState): number => heatJ[2] / body.padsJPerK;
export const caliperC = ({ body, heatJ }: BrakeState): number => heatJ[3] / body.caliperJPerK;

/** Heat stored in the four nodes above a temperature, from their temperatures alone, J. */
export function storedJ(state: BrakeState, aboveC: number): number {
  const { body, guess } = state;
  return (
    guess.massFactor * (heatOf(body.track, trackC(state)) - heatOf(body.track, aboveC)) +
    heatOf(body.carrier, carrierC(state)) -
    heatOf(body.carrier, aboveC) +
    body.padsJPerK * (padsC(state) - aboveC) +
    body.caliperJPerK * (caliperC(state) - aboveC)
  );
}

const count = 7;
const stage = new Float64Array(count);
const rates = [0, 1, 2, 3].map(() => new Float64Array(count));

/** What flows at this heat content, W. */
function flow(
  { body, guess, airC }: BrakeState,
  heat: Float64Array,
  powerW: number,
  forcedWPerM2K: number,
  into: Float64Array,
): void {
  const track = temperatureOf(body.trackTable, heat[0] / guess.massFactor);
  const carrier = temperatureOf(body.carrierTable, heat[1]);
  const pads = heat[2] / body.padsJPerK;
  const caliper = heat[3] / body.caliperJPerK;
  // Free convection where the ride is too slow to do better.
  const h =
    forcedWPerM2K > 15
      ? forcedWPerM2K
      : Math.max(forcedWPerM2K, uprightPlate(track - airC, body.diameterM));
  const toCarrier =
    guess.carrierFactor *
    (body.rivetsWPerK +
      (body.armsM > 0 ? body.armsM * chromiumSteelConductivity((track + carrier) / 2) : 0)) *
    (track - carrier);
  const toPads = powerW > 0 ? guess.padFactor * body.padsWPerK * (track - pads) : 0;
  const straight = body.padShare * powerW;
  const toCaliper = guess.padFactor * body.caliperWPerK * (pads - caliper);
  const trackAir = h * body.trackAreaM2 * (track - airC);
  const carrierAir = h * body.carrierAreaM2 * (carrier - airC);
  const padsAir = h * body.padsAreaM2 * (pads - airC);
  const caliperAir = h * body.caliperAreaM2 * (caliper - airC);
  const trackLight = body.trackAreaM2 * radiatedPerArea(guess.emissivity, track, airC);
  const carrierLight = body.carrierAreaM2 * radiatedPerArea(guess.emissivity, carrier, airC);
  const toHub = guess.carrierFactor * body.hubWPerK * (carrier - airC);
  into[0] = powerW - straight - trackAir - trackLight - toCarrier - toPads;
  into[1] = toCarrier - carrierAir - carrierLight - toHub;
  into[2] = straight + toPads - padsAir - toCaliper;
  into[3] = toCaliper - caliperAir;
  into[4] = trackAir + carrierAir + padsAir + caliperAir;
  into[5] = trackLight + carrierLight;
  into[6] = toHub;
}

/**
 * One step of a brake, in place.
 *
 * @param powerW Heat at the pads during the step; pads lie on while it is above zero
 * @param forcedWPerM2K Convection by the road speed of the step
 */
export function stepBrake(
  state: BrakeState,
  dtS: number,
  powerW: number,
  forcedWPerM2K: number,
): void {
  const { heatJ } = state;
  const [a, b, c, d] = rates;
  flow(state, heatJ, powerW, forcedWPerM2K, a);
  for (let i = 0; i < count; i++) stage[i] = heatJ[i] + 0.5 * dtS * a[i];
  flow(state, stage, powerW, forcedWPerM2K, b);
  for (let i = 0; i < count; i++) stage[i] = heatJ[i] + 0.5 * dtS * b[i];
  flow(state, stage, powerW, forcedWPerM2K, c);
  for (let i = 0; i < count; i++) stage[i] = heatJ[i] + dtS * c[i];
  flow(state, stage, powerW, forcedWPerM2K, d);
  for (let i = 0; i < count; i++) heatJ[i] += (dtS / 6) * (a[i] + 2 * b[i] + 2 * c[i] + d[i]);
}
