interface Window {
  bandWhen: {
    clock(seconds: number): string;
    day(now: Date): string;
    coming(days: string[], today: string): number;
  };
}
