/** What the core last answered to a question; what is shown stays until the next answer is there. */

import { asked } from './shift.svelte';

export interface Latest<T> {
  readonly value: T | undefined;
  readonly trouble: string;
}

/** Ask, and again whenever the book changes; for the top of a component. */
export function latest<T>(question: string): Latest<T> {
  let value = $state.raw<T>();
  let trouble = $state('');
  $effect(() => {
    let over = false;
    asked<T>(question).then(
      (found) => {
        if (!over) [value, trouble] = [found, ''];
      },
      (problem: unknown) => {
        if (!over) trouble = String((problem as Error).message);
      },
    );
    return () => {
      over = true;
    };
  });
  return {
    get value() {
      return value;
    },
    get trouble() {
      return trouble;
    },
  };
}
