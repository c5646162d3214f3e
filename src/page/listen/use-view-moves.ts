import { useEffect, useRef } from 'preact/hooks';
import type { RefObject } from 'preact';
import { margins } from './paint-picture.ts';
import { moved, zoomed } from './picture-view.ts';
import type { TimeView } from './picture-view.ts';

/** Movement below which a press is a press and not a pull, CSS pixels. */
const stillPx = 5;

interface Moves {
  width: number;
  durationS: number;
  view: TimeView;
  setView: (view: TimeView) => void;
  /** A press without movement, at a place of the picture. */
  press: (x: number, y: number) => void;
  hover: (place: { x: number; y: number } | null) => void;
}

/**
 * Moves the view by pointer: pulled with one finger or the mouse, stretched with two fingers or the wheel while Ctrl
 * is held (as a touchpad's two fingers do). Up and down stay with the page, so that nobody is caught in the picture.
 */
export function useViewMoves(ref: RefObject<HTMLElement | null>, moves: Moves): void {
  const now = useRef(moves);
  now.current = moves;
  useEffect(() => {
    const element = ref.current;
    if (!element) return;
    const pointers = new Map<number, { x: number; y: number }>();
    let began: { x: number; y: number; view: TimeView } | null = null;
    let pulled = false;
    const place = (event: MouseEvent) => {
      const box = element.getBoundingClientRect();
      return { x: event.clientX - box.left, y: event.clientY - box.top };
    };
    const inner = () => now.current.width - margins.left - margins.right;
    const momentAt = (x: number, view: TimeView) =>
      view.fromS + ((x - margins.left) / inner()) * (view.toS - view.fromS);

    const down = (event: PointerEvent) => {
      if (event.button !== 0) return;
      pointers.set(event.pointerId, place(event));
      pulled = pointers.size > 1;
      began = { ...place(event), view: now.current.view };
    };
    const move = (event: PointerEvent) => {
      const at = place(event);
      const before = pointers.get(event.pointerId);
      if (!before) {
        now.current.hover(at);
        return;
      }
      const { view, durationS, setView } = now.current;
      const others = [...pointers].filter(([id]) => id !== event.pointerId);
      if (others.length === 1) {
        const other = others[0][1];
        const wide = (a: number) => Math.max(24, Math.abs(a - other.x));
        const middle = momentAt((before.x + other.x) / 2, view);
        const closer = zoomed(view, wide(at.x) / wide(before.x), middle, durationS);
        setView(moved(closer, (before.x - at.x) / 2 / inner(), durationS));
        pulled = true;
      } else if (began) {
        if (!pulled && Math.hypot(at.x - began.x, at.y - began.y) < stillPx) return;
        if (!pulled) element.setPointerCapture(event.pointerId);
        pulled = true;
        setView(moved(began.view, (began.x - at.x) / inner(), durationS));
      }
      pointers.set(event.pointerId, at);
    };
    const up = (event: PointerEvent) => {
      if (!pointers.delete(event.pointerId)) return;
      if (!pulled && event.type === 'pointerup') {
        const at = place(event);
        now.current.press(at.x, at.y);
      }
      // The finger that stays goes on pulling from here.
      const left = [...pointers.values()][0];
      began = left ? { ...left, view: now.current.view } : null;
    };
    const leave = () => now.current.hover(null);
    const wheel = (event: WheelEvent) => {
      const { view, durationS, setView } = now.current;
      const sideways = event.shiftKey ? event.deltaX || event.deltaY : event.deltaX;
      if (event.ctrlKey || event.metaKey) {
        const factor = Math.exp(-Math.max(-60, Math.min(60, event.deltaY)) / 120);
        setView(zoomed(view, factor, momentAt(place(event).x, view), durationS));
      } else if (Math.abs(sideways) > Math.abs(event.deltaY) || event.shiftKey) {
        setView(moved(view, sideways / inner(), durationS));
      } else return;
      event.preventDefault();
    };
    element.addEventListener('pointerdown', down);
    element.addEventListener('pointermove', move);
    element.addEventListener('pointerup', up);
    element.addEventListener('pointercancel', up);
    element.addEventListener('pointerleave', leave);
    element.addEventListener('wheel', wheel, { passive: false });
    return () => {
      element.removeEventListener('pointerdown', down);
      element.removeEventListener('pointermove', move);
      element.removeEventListener('pointerup', up);
      element.removeEventListener('pointercancel', up);
      element.removeEventListener('pointerleave', leave);
      element.removeEventListener('wheel', wheel);
    };
  }, [ref]);
}
