/** After a form has been put away the button in it that had the focus is gone; this gives it to another control once that is drawn. */
export function focusLater(selector: string): void {
  requestAnimationFrame(() => document.querySelector<HTMLElement>(selector)?.focus());
}
