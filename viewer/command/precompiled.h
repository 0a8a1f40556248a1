#pragma once
// Headers that every verb reads; precompiled to keep the build short.
#include <CLI/CLI.hpp>

#include "shared/base/precompiled.h"
