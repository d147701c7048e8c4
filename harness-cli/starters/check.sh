#!/bin/sh
# A step of CI, or a hook before a commit: fails on a finding at or above `warning`.
# `--format annotations`, `sarif` or `junit` suits what your CI server reads; `harness check --help` lists them.
set -eu
cd "$(dirname "$0")"
harness check DESIGN.yaml --format short --fail-on warning
