import { Button, Group, Input, NumberField } from 'react-aria-components/NumberField';

export interface StepperProps {
  /** The accessible name: "Batches of black bean chilli". */
  label: string;
  value: number;
  onChange: (value: number) => void;
  min?: number;
  max?: number;
  isDisabled?: boolean;
}

/** Minus, the number (which can be typed), plus; 48 px each. */
export function BatchStepper({ label, value, onChange, min = 0, max = 99, isDisabled }: StepperProps) {
  return (
    <NumberField
      aria-label={label}
      value={value}
      onChange={(next) => Number.isInteger(next) && onChange(next)}
      minValue={min}
      maxValue={max}
      step={1}
      isDisabled={isDisabled}
    >
      <Group className="stepper">
        <Button slot="decrement" className="button stepper-button">
          −
        </Button>
        <Input className="stepper-input" />
        <Button slot="increment" className="button stepper-button">
          +
        </Button>
      </Group>
    </NumberField>
  );
}
