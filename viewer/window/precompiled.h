#pragma once
// Headers that nearly every file of the window reads; precompiled to keep the build short.
#include <QtGui>
#include <QtWidgets>

#include "shared/base/precompiled.h"
