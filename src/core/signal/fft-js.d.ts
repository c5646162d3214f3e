/** The part of fft.js 4 that `fft.ts` uses; the package brings no types. */
declare module 'fft.js' {
  export default class FFT {
    constructor(size: number);
    transform(out: ArrayLike<number>, data: ArrayLike<number>): void;
    realTransform(out: ArrayLike<number>, data: ArrayLike<number>): void;
  }
}
