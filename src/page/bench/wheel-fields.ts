/** The main numbers of a wheel sheet as a workshop writes them: millimetres, gigapascals, newtons. */

export interface WheelField {
  /** Place in the sheet. */
  path: string;
  label: string;
  unit?: string;
  /** The number in the form is that of the sheet times ten to this power. */
  shift: number;
  needed: boolean;
  help?: string;
  /** What holds while nothing is written. */
  placeholder?: string;
  /** Places that no longer stand once this one is given. */
  instead?: readonly string[];
}

export interface FieldGroup {
  title: string;
  help?: string;
  /** One row: a field alone, or left beside right. */
  rows: readonly (readonly WheelField[])[];
}

const plain = (
  path: string,
  label: string,
  unit: string,
  shift: number,
  more: Partial<WheelField> = {},
): WheelField => ({ path, label, unit, shift, needed: true, ...more });

const rim: FieldGroup = {
  title: 'Rim',
  rows: [
    [
      plain('rim.radiusM', 'Radius to the centroid of its section', 'mm', 3, {
        help: 'From the axle; between bead seat and inner edge.',
      }),
    ],
    [
      plain('rim.materialEPa', 'Young’s modulus', 'GPa', -9, {
        help: 'Aluminium about 70; carbon laminate from 50 to 100.',
      }),
    ],
    [plain('rim.materialGPa', 'Shear modulus', 'GPa', -9, { help: 'Aluminium about 26.' })],
    [
      plain('rim.nippleOffsetM', 'Spoke seats inside the centroid line by', 'mm', 3, {
        needed: false,
        placeholder: '0',
      }),
    ],
    [plain('rim.massKg', 'Mass', 'g', 3, { needed: false, placeholder: '500' })],
  ],
};

const numbers: FieldGroup = {
  title: 'Rim section',
  rows: [
    [plain('rim.areaM2', 'Area of the material', 'mm²', 6)],
    [
      plain('rim.iLateralM4', 'Second moment against sideways bending', 'mm⁴', 12, {
        help: 'What sideways stiffness rests on.',
      }),
    ],
    [plain('rim.iRadialM4', 'Second moment against bending in the plane', 'mm⁴', 12)],
    [plain('rim.torsionM4', 'Torsion constant', 'mm⁴', 12)],
  ],
};

const outlined: FieldGroup = {
  title: 'Rim section',
  help: 'This rim is given by its outline; change the outline in the text.',
  rows: [[plain('rim.section.wallThicknessM', 'Thickness of the walls', 'mm', 3)]],
};

const sides = ['left', 'right'] as const;
const both = (make: (side: (typeof sides)[number]) => WheelField): WheelField[] => sides.map(make);

const hub: FieldGroup = {
  title: 'Hub',
  rows: [
    both((side) => plain(`hub.flangeRadiusM.${side}`, `Radius of spoke holes, ${side}`, 'mm', 3)),
    both((side) =>
      plain(`hub.flangeOffsetM.${side}`, `Flange from the middle plane, ${side}`, 'mm', 3),
    ),
  ],
};

/** The ways to give a spoke's section; each takes the place of the others. */
const sections: Record<string, { label: string; unit: string; shift: number; not: string[] }> = {
  diameterM: {
    label: 'Diameter if round',
    unit: 'mm',
    shift: 3,
    not: ['areaM2', 'widthM', 'thicknessM'],
  },
  widthM: { label: 'Width if bladed', unit: 'mm', shift: 3, not: ['diameterM', 'areaM2'] },
  thicknessM: { label: 'Thickness if bladed', unit: 'mm', shift: 3, not: ['diameterM', 'areaM2'] },
  areaM2: { label: 'or area', unit: 'mm²', shift: 6, not: ['diameterM'] },
};

const spokes: FieldGroup = {
  title: 'Spokes',
  help: 'Of the section one way is enough: a diameter, width and thickness, or an area. Leave one tension empty: it follows from the other by balance along the axle.',
  rows: [
    both((side) => ({
      ...plain(`spokes.${side}.count`, `Count, ${side}`, '', 0),
      unit: undefined,
    })),
    both((side) => ({
      ...plain(`spokes.${side}.cross`, `Crosses, ${side}`, '', 0),
      unit: undefined,
      help: side === 'left' ? '0 is radial.' : undefined,
    })),
    ...Object.entries(sections).map(([key, { label, unit, shift, not }]) =>
      both((side) =>
        plain(`spokes.${side}.${key}`, `${label}, ${side}`, unit, shift, {
          needed: false,
          instead: not.map((other) => `spokes.${side}.${other}`),
        }),
      ),
    ),
    both((side) =>
      plain(`spokes.${side}.materialEPa`, `Young’s modulus, ${side}`, 'GPa', -9, {
        help: side === 'left' ? 'Steel about 200.' : undefined,
      }),
    ),
    both((side) => plain(`spokes.${side}.densityKgM3`, `Density, ${side}`, 'kg/m³', 0)),
    both((side) =>
      plain(`spokes.${side}.meanTensionN`, `Mean tension, ${side}`, 'N', 0, {
        needed: false,
        placeholder: 'open',
      }),
    ),
  ],
};

/** The groups for a sheet; the rim's section is shown as the sheet gives it. */
export function fieldGroups(data: unknown): FieldGroup[] {
  return [rim, valueAt(data, 'rim.section') === undefined ? numbers : outlined, hub, spokes];
}

/** A value of the sheet's plain data by its dotted path; undefined when it is not there. */
export function valueAt(data: unknown, path: string): unknown {
  return path
    .split('.')
    .reduce<unknown>(
      (value, key) =>
        typeof value === 'object' && value !== null
          ? (value as Record<string, unknown>)[key]
          : undefined,
      data,
    );
}

/** A number times ten to a power, without the dust of binary fractions: 0.296 by 3 is 296. */
export function shifted(value: number, power: number): number {
  const [digits, exponent] = value.toExponential().split('e');
  return Number(Number(`${digits}e${Number(exponent) + power}`).toPrecision(12));
}

/** A value of the sheet as the form writes it; empty when it is not there. */
export function shownValue(data: unknown, { path, shift }: WheelField): string {
  const value = valueAt(data, path);
  if (typeof value === 'number') return String(shifted(value, shift));
  return typeof value === 'string' ? value : '';
}
