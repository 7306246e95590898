/** What the core last answered to a question; what is shown stays until the next answer is there. */

import { asked } from './shift.svelte';

export interface Latest<T> {
  readonly value: T | undefined;
  readonly trouble: string;
}

/**
 * Ask, and again whenever the book changes, or what is given with the question; while that is null, what
 * stands is left as it is. For the top of a component.
 */
export function latest<T>(
  question: string,
  given: () => Record<string, unknown> | null = () => ({}),
): Latest<T> {
  let value = $state.raw<T>();
  let trouble = $state('');
  $effect(() => {
    const beside = given();
    if (!beside) return;
    let over = false;
    asked<T>(question, beside).then(
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
