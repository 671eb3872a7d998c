import { createLink, type LinkComponent } from '@tanstack/react-router';
import type { AnchorHTMLAttributes, ReactNode, Ref } from 'react';
import { Button as AriaButton, type ButtonProps as AriaButtonProps } from 'react-aria-components/Button';

/** `main` at most once on a page; `plain` is an underlined word; anything else is normal. */
export type ButtonKind = 'main' | 'normal' | 'plain';

interface Looks {
  kind?: ButtonKind;
  /** 64 px, for hands-busy screens. */
  tall?: boolean;
  wide?: boolean;
  icon?: ReactNode;
}

const classOf = ({ kind = 'normal', tall, wide }: Looks): string =>
  ['button', kind !== 'normal' && `button-${kind}`, tall && 'button-tall', wide && 'button-wide']
    .filter(Boolean)
    .join(' ');

export interface ButtonProps extends Omit<AriaButtonProps, 'className' | 'style' | 'children'>, Looks {
  children: ReactNode;
}

/** A button says a verb, or what has happened; a number that the act depends on stands in it. `isPending` keeps focus and stops a second press. */
export function Button({ kind, tall, wide, icon, children, isPending, type, onPress, ...rest }: ButtonProps) {
  // The kit's own pending state announces itself through an element without a name, so it is done here.
  const state = isPending ? { 'data-pending': '', 'aria-disabled': true } : {};
  return (
    <AriaButton
      {...rest}
      {...state}
      type={isPending ? 'button' : type}
      onPress={isPending ? undefined : onPress}
      className={classOf({ kind, tall, wide })}
    >
      {icon}
      {children}
    </AriaButton>
  );
}

interface LinkButtonProps extends AnchorHTMLAttributes<HTMLAnchorElement>, Looks {
  ref?: Ref<HTMLAnchorElement>;
}

function AnchorButton({ kind, tall, wide, icon, children, ...rest }: LinkButtonProps) {
  return (
    <a {...rest} className={classOf({ kind, tall, wide })}>
      {icon}
      {children}
    </a>
  );
}

/** A link that looks like a button: `<LinkButton to="/rounds/$roundId/buy" params={{ roundId }}>`. */
export const LinkButton: LinkComponent<typeof AnchorButton> = createLink(AnchorButton);

/** The same for an address outside the router: a file, a print view, a telephone number. */
export function AddressButton(props: LinkButtonProps & { href: string }) {
  return <AnchorButton {...props} />;
}
