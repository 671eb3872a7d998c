import { useState, type ReactNode } from 'react';
import { Dialog as AriaDialog, Heading, Modal, ModalOverlay } from 'react-aria-components/Modal';
import { useT } from '../lib/locale.tsx';
import { Button } from './button.tsx';
import { TextField } from './fields.tsx';

/** A dialog over the page; closes by Escape, by its buttons, and by a press beside it. */
export function Dialog(props: { title: string; isOpen: boolean; onClose: () => void; children: ReactNode }) {
  return (
    <ModalOverlay
      className="modal-back"
      isDismissable
      isOpen={props.isOpen}
      onOpenChange={(open) => {
        if (!open) props.onClose();
      }}
    >
      <Modal className="modal">
        <AriaDialog className="dialog">
          <Heading slot="title" level={2}>
            {props.title}
          </Heading>
          {props.children}
        </AriaDialog>
      </Modal>
    </ModalOverlay>
  );
}

export interface ConfirmTypedProps {
  isOpen: boolean;
  onClose: () => void;
  /** "Close round 14?" */
  title: string;
  /** What it brings about and that it cannot be taken back. */
  consequence: ReactNode;
  /** What must be typed: "14". */
  word: string;
  /** "Close round 14" */
  confirm: string;
  /** "Leave it open" */
  keep: string;
  onConfirm: () => void;
  isPending?: boolean;
  problem?: ReactNode;
}

/** For acts that cannot be taken back, and for nothing else: names the consequence and takes a second step. */
export function ConfirmTyped(props: ConfirmTypedProps) {
  const t = useT();
  const [typed, setTyped] = useState('');
  return (
    <Dialog title={props.title} isOpen={props.isOpen} onClose={props.onClose}>
      <form
        className="stack"
        onSubmit={(event) => {
          event.preventDefault();
          if (typed.trim() === props.word) props.onConfirm();
        }}
      >
        <div>{props.consequence}</div>
        <TextField
          label={t('common.typeToConfirm', { word: props.word })}
          autoComplete="off"
          value={typed}
          onChange={setTyped}
        />
        {props.problem}
        <div className="row">
          <Button type="submit" isDisabled={typed.trim() !== props.word} isPending={props.isPending}>
            {props.confirm}
          </Button>
          <Button kind="plain" onPress={props.onClose}>
            {props.keep}
          </Button>
        </div>
      </form>
    </Dialog>
  );
}
